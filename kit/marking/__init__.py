"""What a question, a slip and an outcome are; reading an answer; marking it. Pure: it saves nothing."""

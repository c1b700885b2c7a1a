import js from "@eslint/js";
import globals from "globals";

/* The first scripts of each widget. They are joined with the last one, which alone exports: see kit/views/sheet.py. */
const SHARED = ["common", "kinds", "order", "threads", "predict", "jump", "hand_in", "language", "aloud", "touched"].map((name) => `kit/views/front/${name}.js`);
const MARKUP = "Text becomes nodes, never markup. Only what the kit itself drew may be set, and the line says so.";

export default [
  js.configs.recommended,
  {
    languageOptions: { ecmaVersion: 2022, sourceType: "module", globals: globals.browser },
    linterOptions: { reportUnusedDisableDirectives: "error" },
    rules: {
      "no-undef": "off", // tsc looks for it, and knows which scripts are joined
      "array-callback-return": "error",
      "default-case-last": "error",
      eqeqeq: "error",
      "no-alert": "error",
      "no-constructor-return": "error",
      "no-else-return": "error",
      "no-eval": "error",
      "no-implied-eval": "error",
      "no-lonely-if": "error",
      "no-loop-func": "error",
      "no-param-reassign": "error",
      "no-restricted-properties": [
        "error",
        ...["innerHTML", "outerHTML", "insertAdjacentHTML"].map((property) => ({ property, message: MARKUP })),
      ],
      "no-return-assign": "error",
      "no-self-compare": "error",
      "no-shadow": "error",
      "no-template-curly-in-string": "error",
      "no-throw-literal": "error",
      "no-unmodified-loop-condition": "error",
      "no-unneeded-ternary": "error",
      "no-unreachable-loop": "error",
      "no-unused-expressions": "error",
      "no-use-before-define": ["error", { variables: false }], // a function may name what stands below it
      "no-useless-assignment": "error",
      "no-useless-concat": "error",
      "no-useless-return": "error",
      "no-var": "error",
      "object-shorthand": "error",
      "prefer-const": "error",
      "prefer-template": "error",
      "require-atomic-updates": "error",
    },
  },
  {
    files: [...SHARED, "kit/views/front/lab/**/*.js"],
    languageOptions: { sourceType: "script" },
  },
  {
    files: SHARED,
    rules: {
      "no-unused-vars": ["error", { vars: "local" }], // what stands here at the top is for the scripts after it
    },
  },
];

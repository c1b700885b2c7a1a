/* What passes between a page and its kernel: the state each widget shows, what the page asks, what comes back.
   The kernel's side is Python, so tests/javascript compares what the kernel really sends with these types. A page
   never loads this file. */

declare namespace Kit {
  /* ---- A widget, as anywidget hands it over. */

  interface Model<State, Ask = never, Reply = unknown> {
    get<K extends keyof State>(name: K): State[K];
    on(event: "msg:custom", heard: (message: Reply, buffers?: DataView[]) => void): void;
    on(event: `change:${keyof State & string}`, heard: () => void): void;
    send(message: Ask, callbacks?: undefined, buffers?: ArrayBuffer[]): void;
  }
  /** Where a widget is shown. Older versions of anywidget give no signal. */
  interface Place<State, Ask = never, Reply = unknown> {
    model: Model<State, Ask, Reply>;
    el: HTMLElement;
    signal?: AbortSignal;
  }
  /** Shows a widget, and may return what to do when it goes. */
  type Render<State, Ask = never, Reply = unknown> = (place: Place<State, Ask, Reply>) => (() => void) | void;

  /* ---- Building a page. */

  type Leaf = Node | string | null | undefined;
  type Child = Leaf | readonly Leaf[];
  type Tag = keyof HTMLElementTagNameMap;
  interface Attributes {
    [name: string]: unknown;
    onclick?: (event: MouseEvent) => void;
    onkeydown?: (event: KeyboardEvent) => void;
    onsubmit?: (event: SubmitEvent) => void;
    ontoggle?: (event: Event) => void;
  }

  /** What stands in the gaps of a text. */
  type Values = Record<string, string | number>;

  /* ---- What several widgets show. */

  interface Picture {
    label: string;
    text: string;
    facts: string[];
    svg?: string;
    /** The same chart, as a phone shows it. */
    phone?: string;
    /** The kitchen's own photograph: a data address, or why it is not shown. */
    photo?: string;
    photo_said?: string;
  }
  interface Option {
    key: string;
    text: string;
  }
  interface Control {
    key: string;
    label: string;
    /** "1" or "" for a plain number. */
    unit: string;
    low: number;
    high: number;
    step: number;
    start: number;
  }
  interface Slider extends Control {
    form: "slider";
    /** Whether it can run by itself, from low to high. */
    plays?: boolean;
  }
  interface Choice {
    form: "choice";
    key: string;
    label: string;
    options: Option[];
    start: string;
  }
  type Setting = Slider | Choice;
  type Settings = Record<string, number | string>;
  interface Prediction {
    question: string;
    choices: string[];
    look: string;
    /** How far from the picture each choice is; empty for the one that happens. */
    off: string[];
  }

  /* ---- The end of a lesson. */

  interface EndState {
    form: Checklist;
    page: EndPage;
  }
  interface HandedPage {
    recorded: boolean;
    handed: string[];
    wrong: boolean;
  }
  interface EndPage extends HandedPage {
    can: string[];
    /** What is left to do, with a gap for a number. */
    open: { text: string; left: string; n: number }[];
    more: number;
    redo: { exercise: string; title: string; state: TaskState }[];
    after: { title?: string; file?: string };
    today: string;
  }
  interface EndAsk {
    do: "look" | "hand in";
  }

  /* ---- Today, the first page. */

  interface TodayState {
    page: TodayPage;
  }
  interface TodayPage extends HandedPage {
    day: string;
    started: boolean;
    carry_on: { file: string; lesson: string; exercise: string; title: string; begun: boolean } | null;
    round: { exercise: string; title: string; why: string; done: boolean }[];
    minutes: number;
    show: string;
    back: { when: string; question: string; said: string; happened: string; off: string; changed: string } | null;
    steps: { title: string; shown: number; begun: number; to_know: number; to_be_seen: number }[];
  }
  interface TodayAsk {
    do: "more" | "hand in";
  }

  /* ---- The head of a lesson. */

  interface BannerState {
    page: BannerPage;
    language: Language;
    words: TradeWord[];
    /** What the learner calls a word, by the word. */
    own: Record<string, string>;
  }
  /** A word of the trade with its other forms, what it means, and its sketch, which may be empty. */
  interface TradeWord {
    word: string;
    forms: string[];
    means: string;
    sketch: string;
  }
  /** A language of the page: its texts by their English, and the paragraphs of the lesson on it. */
  interface Language {
    code: string;
    texts: Record<string, string>;
    lesson: [english: string, said: string][];
    checked: string;
    choices: { code: string; name: string }[];
  }
  type BannerAsk = { do: "language"; code: string } | { do: "word"; word: string; text: string };
  interface BannerPage {
    who: string;
    recorded: boolean;
    why: string;
    rules: string;
    /** Where to say who works; empty without such a page. */
    door: string;
    lesson: string;
    progress: { exercise: string; title: string; state: TaskState }[];
    lessons: { number: number; title: string; file: string; here: boolean }[];
    hand_in: string;
    today: string;
  }
  type TaskState = "new" | "not yet" | "partly" | "right" | "first" | "kept";

  /* ---- A card. It sends nothing. */

  interface CardState {
    form: PictureCard;
  }
  interface PictureCard {
    title: string;
    picture: Picture;
  }
  interface Checklist {
    title: string;
    items: string[];
  }

  /* ---- A task. */

  interface TaskWidget {
    form: TaskForm;
    shown: TaskShown;
  }
  interface Asked {
    exercise: string;
    version: number;
    text: string;
    of: number;
    picture: Picture | null;
    /** The rule of the kitchen that the question is about, or nothing. */
    rule: string;
    /** The sources that the question names. */
    sources: SourceLink[];
    /** Teaching pictures, only in a lesson. */
    look?: Picture[];
    number: number;
    title: string;
    variant: number;
    model: boolean;
  }
  interface NumberForm extends Asked {
    kind: "number" | "chart";
    unit: string;
    decimals: number | null;
  }
  interface OptionsForm extends Asked {
    kind: "one" | "several" | "order";
    options: Option[];
  }
  interface MatchForm extends Asked {
    kind: "match";
    left: Option[];
    right: Option[];
  }
  interface PlacesForm extends Asked {
    kind: "places";
    count: number;
  }
  interface ControlsForm extends Asked {
    kind: "controls";
    controls: Control[];
  }
  interface RecommendForm extends Asked {
    kind: "recommend";
    decisions: Option[];
    reasons: Option[];
  }
  interface ExplainForm extends Asked {
    kind: "explain";
    /** Words that the prompt asks for, and the fewest sentences. */
    words: string[];
    least: number;
  }
  type TaskForm =
    | NumberForm
    | OptionsForm
    | MatchForm
    | PlacesForm
    | ControlsForm
    | RecommendForm
    | ExplainForm;

  /** A place on a picture: shares of its width and height. */
  type Point = [x: number, y: number];
  /** An ellipse on a picture: its middle and half widths, as shares. */
  interface Zone {
    name: string;
    x: number;
    y: number;
    rx: number;
    ry: number;
  }
  interface Recommendation {
    decision: string;
    reason: string;
  }
  /** An answer as it is sent, kept in the book, and shown again. */
  type Answer = string | string[] | Point[] | Record<string, string> | Record<string, number> | Recommendation;

  type Verdict = "right" | "partly" | "not yet" | "not read" | "kept";
  /** A source as a text names it, and where it stands; no address where none is known. */
  interface SourceLink {
    title: string;
    address: string;
  }
  interface TaskShown {
    sources: SourceLink[];
    verdict: Verdict | "";
    score: number;
    of: number;
    message: string;
    read_as: string;
    answer: Answer | null;
    tries: number;
    hints: string[];
    hints_left: number;
    worked: string;
    /** The right places, once earned. */
    zones: Zone[];
    can_worked: boolean;
    can_variant: boolean;
    can_dispute: boolean;
    disputed: boolean;
    picture: Picture | null;
    not_recorded: string;
    /** Only on what is shown when the page opens. */
    restored?: boolean;
    /** Only on a reply: which message it answers. */
    serial?: string;
    error?: string;
  }
  type TaskWish =
    | { do: "check"; answer: Answer }
    | { do: "hint" | "worked" | "variant" }
    | { do: "dispute"; text: string };
  type TaskAsk = TaskWish & { serial: string };

  /** Takes an answer of one kind. `ready` says in words what is still missing, or nothing. */
  interface Editor<Kept extends Answer = Answer> {
    node: HTMLElement;
    /** What lies on the task's picture, where places are marked on it. */
    board?: HTMLElement;
    /** What the button says that sends the answer. */
    button?: string;
    read(): Kept;
    /** Shows an answer given before. A book may hold anything that could once be read. */
    write(answer: unknown): void;
    focus(): void;
    ready(): string;
  }

  /* ---- An explorer. */

  interface ExplorerState {
    spec: ExplorerSpec;
  }
  interface ExplorerSpec {
    name: string;
    title: string;
    intro: string;
    controls: Setting[];
    start: Settings;
    predict: Prediction | null;
  }
  interface DrawAsk {
    do: "draw";
    serial: number;
    settings: Settings;
    narrow: boolean;
  }
  interface GuessAsk {
    do: "guess";
    choice: number;
    changed: string;
  }
  interface GuessKept {
    reply: "kept";
    words: string;
  }
  /** A picture without `svg` comes as a PNG in the first buffer. */
  interface Drawn {
    reply: "drawn";
    serial: number;
    settings: Settings;
    text: string;
    facts: string[];
    svg?: string;
    error?: string;
  }

  /* ---- The list of words. */

  interface WordsState {
    form: WordsForm;
    kept: WordsKept;
  }
  interface WordsForm {
    start: number;
    lessons: { number: number; title: string }[];
    words: { word: string; means: string; lesson: number; sketch: string }[];
    note: string;
  }
  interface WordsKept {
    language: string;
    words: Record<string, string>;
    notice: string;
  }
  /** An empty word stands for the language's name. */
  interface KeepAsk {
    do: "keep";
    word: string;
    text: string;
    serial: number;
  }
  type Kept = { reply: "kept"; word: string; serial: number } & ({ text: string } | { error: string });

  /* ---- The inspection bench. */

  interface BenchState {
    shown: BenchShown;
  }
  interface Told {
    serial?: number;
    error?: string;
  }
  interface BenchReady extends Told {
    phase: "ready";
    weeks: string;
    aim: string;
  }
  interface BenchFeel extends Told {
    phase: "feel";
    look: number;
    place: number;
    of: number;
    words: string;
    picture: Picture;
  }
  interface BenchTried extends Told {
    phase: "tried";
    gallery: { title: string; picture: Picture }[];
  }
  interface BenchCounts extends Told {
    phase: "counts" | "shown";
    reports: { title: string; facts: string[] }[];
    agree: string;
    can_again: boolean;
    plain: string;
    weeks: string;
    aim: string;
    gallery?: { title: string; picture: Picture }[];
  }
  type BenchShown = BenchReady | BenchFeel | BenchTried | BenchCounts;
  type BenchStep = { do: "try" | "run" | "again" | "show" } | { do: "decide"; pull: boolean; marks: Point[] };
  type BenchAsk = (BenchStep & { serial: number }) | { do: "feel"; at: Point; touch: number };
  interface Felt {
    reply: "felt";
    touch: number;
    bump: number;
  }

  /* ---- The whole batch. */

  interface BatchState {
    shown: BatchShown;
  }
  interface BatchLines extends Told {
    runs: string[];
    back: string;
    not_kept?: string;
  }
  interface BatchReady extends BatchLines {
    phase: "ready";
    seed: number;
    most: number;
    profile: string;
  }
  interface BatchRunning extends BatchLines {
    seed: number;
    most: number;
    title: string;
    order: string;
    steps: { title: string; state: StepState }[];
    sheet: { title: string; set: string; read: string; decided: string }[];
    news: string[];
  }
  type StepState = "done" | "now" | "to come" | "not reached" | "stopped here";
  interface BatchStage extends BatchRunning {
    place: number;
    of: number;
    intro: string;
    card: string;
  }
  interface BatchPlan extends BatchRunning {
    phase: "plan";
    aims: string[];
    dials: Setting[];
  }
  interface BatchSet extends BatchStage {
    phase: "set";
    dials: Setting[];
  }
  interface BatchDecide extends BatchStage {
    phase: "decide";
    evidence: string[];
    picture: Picture | null;
    tried: number;
    decisions: Option[];
    remedies: Option[];
    reasons: Option[];
  }
  interface BatchRecommend extends BatchRunning {
    phase: "recommend";
    decisions: Option[];
    reasons: Option[];
  }
  interface BatchEnd extends BatchRunning {
    phase: "end";
    points: string;
    of_points: string;
    counts: string;
    unsafe: string;
    chef: string;
    marks: { title: string; decided: string; called_for: string; points: string; parts: string; why: string; unsafe: boolean }[];
    day_5: string[];
    recall: string[];
    others: { title: string; asks: string; words: string }[];
    verdicts: { title: string; outcome: "met" | "not met" | "cannot tell"; why: string; source: string; address: string }[];
    bands: { title: string; met: boolean; words: string }[];
    figures: string[];
    account: string[];
    forecasts: { key: string; label: string; said: string; happened: string; off: string; far: number }[];
  }
  type BatchShown = BatchReady | BatchPlan | BatchSet | BatchDecide | BatchRecommend | BatchEnd;
  type BatchStep =
    | { do: "begin"; seed: string }
    | { do: "new" | "today" }
    | { do: "plan" | "set"; settings: Settings }
    | ({ do: "decide" | "recommend"; remedy: string } & Recommendation);
  type BatchAsk = (BatchStep & { serial: number; narrow: boolean }) | { do: "guess"; changed: string };

  /* ---- A part of the tutor's desk. */

  interface DeskState {
    shown: DeskPage;
  }
  interface DeskPage {
    blocks: Block[];
    turn: number;
    page: string;
    focus?: string;
    near?: boolean;
  }
  interface Button {
    label: string;
    ask: DeskWish;
    says: string;
    main: boolean;
    chip: boolean;
    quiet?: boolean;
    title?: string;
    key?: string;
  }
  type Cell = string | Button;
  interface GridCell {
    state: string;
    says: string;
    word: string;
    count?: string;
  }
  interface GridColumn {
    id: string;
    short: string;
    says: string;
    dagger?: boolean;
    first?: boolean;
  }
  interface GridRow {
    person: string;
    name: string;
    note: string;
    cells: GridCell[];
  }
  interface Blocks {
    title: { text: string; key: string; level: number };
    text: { text: string; note: boolean };
    facts: { rows: [label: string, value: string][] };
    say: { text: string; tone: "done" | "warn" | "error"; key: string };
    buttons: { buttons: Button[] };
    picture: { picture: Picture };
    fold: { summary: string; blocks: Block[] };
    columns: { columns: { label: string; blocks: Block[] }[] };
    table: { caption: string; head: string[]; rows: Cell[][] };
    list: {
      key: string;
      title: string;
      count: number;
      items: { name: string; tag: string; detail?: string; buttons: Button[] }[];
      beyond: number;
      empty: string;
    };
    controls: { steps: [value: string, text: string][]; step: string; search: string; page: number; pages: number };
    finder: { search: string; key: string; label?: string };
    download: { name: string; data: string; media: string };
    grid: {
      label: string;
      columns: GridColumn[];
      groups: [text: string, span: number][];
      rows: GridRow[];
      opens: "step" | "evidence";
      wide: boolean;
      empty: string;
    };
    key: { rows: [state: string, count: string, word: string, says: string][] };
  }
  type BlockOf<Kind extends keyof Blocks> = Blocks[Kind] & { kind: Kind };
  type Block = { [Kind in keyof Blocks]: BlockOf<Kind> }[keyof Blocks];

  /** What a click wishes for. A button's wish was made by the kernel, so the page only hands it back. */
  interface DeskWish {
    do: string;
    [more: string]: string | number | boolean;
  }
  type DeskAsk = (DeskWish & { serial: number }) | { do: "settled" };
  interface DeskReply {
    reply: "done" | "settle";
  }
  interface ChoiceState {
    label: string;
    small: string;
    options: [string, string][];
    value: string;
    turn: number;
  }
  interface ChoiceAsk {
    do: "choose";
    value: string;
    turn: number;
  }
  interface PhotoState {
    label: string;
    accept: string;
    what: "photo" | "file";
  }
  type PhotoAsk = { do: "photo"; name: string; size: number } | { do: "piece" } | { do: "no photo" };
}

/** Texts of the list of words that are not kept yet. They outlast a new start of the engine. */
interface Window {
  kitOwnWords?: Record<string, string>;
  kitLanguage?: Kit.Language;
  /** Which task of the page shows a rule open, by the rule. */
  kitRules?: Map<string, string>;
}

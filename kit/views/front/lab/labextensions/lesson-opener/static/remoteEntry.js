/* Hand-written prebuilt extension for JupyterLab 4.6, no bundler: a federated extension is a container object with
   init(sharedScope) and get(module) -> Promise<factory>. A notebook asks for it in its metadata:
   "kit": {"run_on_open": true}. */
(() => {
  const root = document.documentElement;
  root.dataset.kitAsked = decodeURIComponent(window.location.hash.slice(1)); // JupyterLab soon takes it out of the address
  const DOWN = ["dead", "restarting", "autorestarting", "terminating"];
  const REACH_MS = 4000;
  const LAST_MS = 20000;

  /** @param {string} state */
  const tell = (state) => {
    if (root.dataset.kitEngine === state) return;
    root.dataset.kitEngine = state;
    window.dispatchEvent(new CustomEvent("kit-engine", { detail: state }));
  };

  /* A reader sees every state that lasts; tasks listen to the same event. */
  const notice = () => {
    let box = document.getElementById("kit-notice");
    if (!box) {
      box = document.createElement("div");
      box.id = "kit-notice";
      box.setAttribute("role", "status");
      document.body.append(box);
    }
    return box;
  };
  let later = 0;
  /**
   * @param {string} text
   * @param {number} [lastMs] after which the words go; without it they stay until others come
   */
  const speak = (text, lastMs) => {
    clearTimeout(later);
    if (!text) notice().textContent = "";
    else later = setTimeout(() => {
      notice().textContent = text;
      if (lastMs) later = setTimeout(() => { notice().textContent = ""; }, lastMs);
    }, 400);
  };

  /* JupyterLab says what went wrong in boxes that need an OK, in engineers' words. In the plain page each is closed
     again, and the page says it once, in ours. The engine's own fall is told by watchEngine. */
  const SAID = {
    "Kernel Restarting": "",
    "Server Connection Error": "The page has lost touch with the workbook. Is the window where you started it still open?",
    "File Save Error": "This page could not be saved. Is the disk full, or the folder gone? Checked answers are kept in your answer book.",
    "File Changed": "This page changed on the disk while it was open. Load it anew; checked answers are kept in your answer book.",
  };
  const OTHERS = "The page met a fault and went on. If something looks wrong, load it anew; checked answers are kept.";
  const closeBoxes = () => {
    for (const box of document.querySelectorAll("dialog.jp-Dialog, div.jp-Dialog")) {
      const label = box.getAttribute("aria-label") || box.textContent || "";
      const [, words] = Object.entries(SAID).find(([name]) => label.includes(name)) || ["", OTHERS];
      const button = box.querySelector("button.jp-mod-reject") || box.querySelector("button.jp-mod-accept");
      if (button instanceof HTMLElement) button.click();
      if (words) speak(words, LAST_MS);
    }
  };
  /** @param {Lab.App} app */
  const ourWords = (app) => {
    if (root.dataset.kitWords) return;
    root.dataset.kitWords = "ours";
    new MutationObserver(() => { if (app.shell.mode === "single-document") closeBoxes(); }).observe(document.body, { childList: true });
  };

  /**
   * @param {Lab.App} app
   * @param {Lab.Panel} panel
   */
  const watchEngine = (app, panel) => {
    const session = panel.sessionContext;
    let fell = false;
    let told = false;
    let reaching = 0;
    /* An engine that fell soon after its start comes back on other ports. A page that joined again too early listens
       on the old ones and hears nothing more, or waits there. So until the engine speaks, join again, ever more slowly. */
    /** @param {number} wait */
    const reachOut = (wait) => {
      clearTimeout(reaching);
      reaching = setTimeout(() => {
        const kernel = session.session?.kernel;
        if (!fell || !kernel || kernel.isDisposed) return;
        kernel.reconnect().catch(() => undefined);
        void settle();
        reachOut(Math.min(wait * 1.5, 30000));
      }, wait);
    };
    const settle = async () => {
      const state = session.session?.kernel?.connectionStatus === "disconnected" ? "disconnected" : session.kernelDisplayStatus;
      if (DOWN.includes(state)) {
        if (!fell) { fell = true; reachOut(REACH_MS); }
        tell(state);
        told = true;
        speak(state === "dead"
          ? "The engine behind this page stopped and did not start again. Close the page and open the workbook again; checked answers are kept."
          : "The engine behind this page stopped. It is being started again; checked answers are kept.");
      } else if (state === "disconnected") {
        tell("disconnected");
        told = true;
        speak("The page has lost touch with the workbook. Is the window where you started it still open?");
      } else {
        tell(state);
        if (["idle", "busy"].includes(state)) {
          if (told) { told = false; speak(""); }
          if (fell) { fell = false; await runAll(app, panel, false); }
        }
      }
    };
    session.statusChanged.connect(() => { void settle(); });
    session.connectionStatusChanged.connect(() => { void settle(); });
    void settle();
  };

  /**
   * @param {Lab.App} app
   * @param {Lab.Panel} panel
   * @param {boolean} top
   */
  const runAll = async (app, panel, top) => {
    root.dataset.kitRun = "running";
    try {
      await app.commands.execute("notebook:run-all-cells");
    } finally {
      root.dataset.kitRun = "done";
      panel.node.dataset.kitRan = String(Number(panel.node.dataset.kitRan || 0) + 1);
    }
    panel.content.activeCellIndex = 0;
    panel.content.deselectAll();
    const scroller = panel.node.querySelector(".jp-WindowedPanel-outer");
    if (top && scroller) scroller.scrollTop = 0;
  };

  /* In the plain page nobody edits by accident: no notebook shortcuts ("d d" deletes a cell), no editing by double click. */
  /**
   * @param {Lab.App} app
   * @param {Lab.Panel} panel
   */
  const calm = (app, panel) => {
    const single = () => app.shell.mode === "single-document";
    const quiet = () => {
      if (single()) panel.node.setAttribute("data-lm-suppress-shortcuts", "true");
      else panel.node.removeAttribute("data-lm-suppress-shortcuts");
    };
    quiet();
    app.shell.modeChanged?.connect(quiet);
    /**
     * @param {Event} event
     * @param {string} selector
     */
    const within = (event, selector) => event.target instanceof Element && event.target.closest(selector);
    panel.node.addEventListener("dblclick", (event) => { if (single() && within(event, ".jp-MarkdownCell")) event.stopPropagation(); }, true);
    panel.node.addEventListener("keydown", (event) => {
      if (single() && !within(event, ".sk, a, button, [role=button], input, select, textarea, summary") && event.key === "Enter") event.stopPropagation();
    }, true);
  };

  /* JupyterLab calls the list of cells a feed, and a feed holds articles: without that role a screen reader meets an
     empty list, and the name of each cell is read to nobody. */
  /** @param {Lab.Panel} panel */
  const asArticles = (panel) => {
    const list = panel.node.querySelector(".jp-WindowedPanel-viewport");
    if (!list) return;
    const name = () => {
      for (const cell of list.querySelectorAll(":scope > .jp-Cell:not([role])")) cell.setAttribute("role", "article");
    };
    new MutationObserver(name).observe(list, { childList: true });
    name();
  };

  /**
   * @param {Lab.App["shell"]["currentWidget"]} widget
   * @returns {widget is Lab.Panel}
   */
  const isNotebook = (widget) => Boolean(widget?.context && widget.sessionContext && widget.content?.model);

  /** @type {Lab.Plugin} */
  const plugin = {
    id: "lesson-opener:plugin",
    autoStart: true,
    activate: (app) => {
      root.lang = root.lang || "en";
      const seen = new WeakSet();
      const consider = async () => {
        const panel = app.shell.currentWidget;
        if (!isNotebook(panel) || seen.has(panel)) return;
        seen.add(panel);
        await panel.context.ready;
        if (!panel.content.model?.sharedModel.getMetadata().kit?.run_on_open) return;
        root.dataset.kitRun = "running";
        calm(app, panel);
        ourWords(app);
        asArticles(panel);
        await panel.sessionContext.ready;
        await runAll(app, panel, true);
        watchEngine(app, panel);
      };
      app.restored.then(() => { void consider(); app.shell.currentChanged?.connect(() => { void consider(); }); });
      const timer = setInterval(() => {
        void consider();
        if (app.shell.currentWidget && seen.has(app.shell.currentWidget)) clearInterval(timer);
      }, 100);
    },
  };

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB["lesson-opener"] = {
    init: () => undefined,
    get: async () => () => ({ __esModule: true, default: plugin }),
  };
})();

/* What the script in lab/ uses of JupyterLab 4.6, and no more. A page never loads this file. */

declare namespace Lab {
  interface Signal {
    connect(slot: () => void): void;
  }
  interface Kernel {
    isDisposed: boolean;
    connectionStatus: string;
    reconnect(): Promise<void>;
  }
  interface SessionContext {
    ready: Promise<void>;
    session: { kernel: Kernel | null } | null;
    kernelDisplayStatus: string;
    statusChanged: Signal;
    connectionStatusChanged: Signal;
  }
  interface Notebook {
    activeCellIndex: number;
    deselectAll(): void;
    model: { sharedModel: { getMetadata(): { kit?: { run_on_open?: boolean } } } } | null;
  }
  interface Panel {
    node: HTMLElement;
    context: { ready: Promise<void> };
    sessionContext: SessionContext;
    content: Notebook;
  }
  interface App {
    restored: Promise<void>;
    commands: { execute(command: "notebook:run-all-cells"): Promise<unknown> };
    shell: {
      /** Whatever is in front: it may be no notebook. */
      currentWidget: Panel | Partial<Panel> | null;
      mode?: string;
      currentChanged?: Signal;
      modeChanged?: Signal;
    };
  }
  interface Plugin {
    id: string;
    autoStart: boolean;
    activate(app: App): void;
  }
  /** A federated extension, as JupyterLab asks for it. */
  interface Container {
    init(shared: unknown): void;
    get(module: string): Promise<() => { __esModule: true; default: Plugin }>;
  }
}

interface Window {
  _JUPYTERLAB?: Record<string, Lab.Container>;
}

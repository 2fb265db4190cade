/** Catches what no page caught, so that a fault is told and the page can be loaded again. Unsent edits are kept. */

import { Component, type ReactNode } from "react";
import { text } from "../text.ts";
import { Notice } from "../ui/Notice.tsx";

interface State {
  error: Error | null;
}

export class ErrorBoundary extends Component<{ children: ReactNode }, State> {
  override state: State = { error: null };

  static getDerivedStateFromError(error: unknown): State {
    return { error: error instanceof Error ? error : new Error(String(error)) };
  }

  override render() {
    if (this.state.error === null) return this.props.children;
    return (
      <main id="sheet" className="form-page" tabIndex={-1}>
        <Notice
          tone="problem"
          title={text.fault.title}
          actions={
            <>
              <button type="button" className="button main" onClick={() => location.reload()}>
                {text.fault.reload}
              </button>
              <a className="button" href="/">
                {text.nowhere.home}
              </a>
            </>
          }
        >
          <p>{text.fault.detail}</p>
          <p>
            <code>{this.state.error.message}</code>
          </p>
        </Notice>
      </main>
    );
  }
}

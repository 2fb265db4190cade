/** Which page is shown. The start page comes with the first load; the others when they are needed. */

import { lazy, Suspense, useEffect, useRef, useState } from "react";
import type { View } from "../document/address.ts";
import { JobsPage } from "../features/jobs/JobsPage.tsx";
import { useView } from "../store/navigation.ts";
import { text } from "../text.ts";
import { Announcer } from "../ui/Announcer.tsx";
import { Link } from "../ui/Link.tsx";
import { ErrorBoundary } from "./ErrorBoundary.tsx";
import { TopBar } from "./TopBar.tsx";
import "./app.css";

const JobPage = lazy(() => import("./JobPage.tsx").then((m) => ({ default: m.JobPage })));
const NewHomePage = lazy(() =>
  import("../features/newhome/NewHomePage.tsx").then((m) => ({ default: m.NewHomePage })),
);
const ImportPage = lazy(() =>
  import("../features/importing/ImportPage.tsx").then((m) => ({ default: m.ImportPage })),
);

function titleOf(view: View): string | null {
  switch (view.page) {
    case "jobs":
      return text.jobs.title;
    case "new":
      return text.newHome.title;
    case "import":
      return text.importing.title;
    case "nowhere":
      return text.nowhere.title;
    case "job":
      // The job's page knows its name.
      return null;
  }
}

/** Moves the focus to the new page, as a browser does on a load; not on the first one. */
function useFocusOnPage(view: View): void {
  const page = view.page === "job" ? `job ${view.id}` : view.page;
  const before = useRef(page);
  useEffect(() => {
    if (before.current === page) return;
    before.current = page;
    // The page may still be on its way.
    const timer = setInterval(() => {
      const sheet = document.querySelector<HTMLElement>("#sheet:not([aria-busy])");
      if (!sheet) return;
      clearInterval(timer);
      // Whoever has gone on meanwhile is not called back.
      if (document.activeElement === document.body) sheet.focus({ preventScroll: true });
    }, 50);
    return () => clearInterval(timer);
  }, [page]);
}

export function App() {
  const view = useView();
  useFocusOnPage(view);
  const title = titleOf(view);
  useEffect(() => {
    if (title !== null) document.title = `${title} · ${text.program}`;
  }, [title]);
  return (
    <>
      <a className="skip" href="#sheet">
        {text.skip}
      </a>
      {view.page !== "job" && <TopBar isStart={view.page === "jobs"} />}
      <ErrorBoundary key={view.page}>
        <Suspense fallback={<Slow />}>
          {view.page === "jobs" && <JobsPage isArchived={view.archived} />}
          {view.page === "new" && <NewHomePage />}
          {view.page === "import" && <ImportPage />}
          {view.page === "job" && <JobPage key={view.id} view={view} />}
          {view.page === "nowhere" && <Nowhere path={view.path} />}
        </Suspense>
      </ErrorBoundary>
      <Announcer />
    </>
  );
}

/** Says that something loads, but only if it takes long enough to be noticed. */
function Slow() {
  const [isLate, setIsLate] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setIsLate(true), 300);
    return () => clearTimeout(timer);
  }, []);
  return (
    <main id="sheet" aria-busy="true">
      {isLate && <p className="page-loading">{text.loading}</p>}
    </main>
  );
}

function Nowhere({ path }: { path: string }) {
  return (
    <main id="sheet" className="form-page" tabIndex={-1}>
      <header className="page-head">
        <h1>{text.nowhere.title}</h1>
        <p className="lead">{text.nowhere.detail(path)}</p>
      </header>
      <p className="nowhere-home">
        <Link to={{ page: "jobs", archived: false }} className="button">
          {text.nowhere.home}
        </Link>
      </p>
    </main>
  );
}

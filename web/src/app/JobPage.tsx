/** A job: one plan, the sheets on it, keynotes and title block beside it. */

import { useCallback, useEffect, useMemo, useState } from "react";
import type { JobView } from "../document/address.ts";
import { applyRemedy } from "../document/edits.ts";
import type { Reader } from "../document/format.ts";
import { isOnSheet, type Keynote } from "../document/keynotes.ts";
import { ServerProblem } from "../engine/calls.ts";
import type { Remedy } from "../engine/types.ts";
import { JobHeader } from "../features/frame/JobHeader.tsx";
import { Keynotes } from "../features/frame/Keynotes.tsx";
import { Messages } from "../features/frame/Messages.tsx";
import { SheetIndex } from "../features/frame/SheetIndex.tsx";
import { TitleBlock } from "../features/frame/TitleBlock.tsx";
import { HistoryDialog } from "../features/settings/HistoryDialog.tsx";
import { KeysDialog } from "../features/settings/KeysDialog.tsx";
import { MoreDialog } from "../features/settings/MoreDialog.tsx";
import { type JobState, useJobState } from "../store/jobState.ts";
import { refineWithin } from "../store/navigation.ts";
import { text } from "../text.ts";
import { Link } from "../ui/Link.tsx";
import { Failure } from "../ui/Notice.tsx";
import { useCapacity } from "./capacity.ts";
import { commandsOf, keyLines, useKeys } from "./commands.ts";
import { useCoverage } from "./coverage.ts";
import { useDrawnScale } from "./drawing.ts";
import { MarginSubject, Sheet } from "./Sheet.tsx";
import { useWires } from "./wires.ts";
import "./job.css";

type Open = "keys" | "history" | "more" | null;

export function JobPage({ view }: { view: JobView }) {
  const state = useJobState(view);
  if (state.answer === null) {
    return (
      <main id="sheet" className="form-page" tabIndex={-1} aria-busy={state.error ? undefined : "true"}>
        {state.error ? (
          <>
            <Failure
              error={state.error}
              title={text.job.failed}
              {...(state.error instanceof ServerProblem ? {} : { onAgain: state.reload })}
            />
            <Link to={{ page: "jobs", archived: false }} className="button">
              {text.nowhere.home}
            </Link>
          </>
        ) : (
          <p className="page-loading">{text.job.loading}</p>
        )}
      </main>
    );
  }
  return <OpenJob view={view} state={state} answer={state.answer} />;
}

interface OpenProps {
  view: JobView;
  state: JobState;
  answer: NonNullable<JobState["answer"]>;
}

function staleNoteOf(state: JobState): string | null {
  const { planning, isShownKept } = state;
  if (!planning.isStale || planning.revision === null || isShownKept) return null;
  return planning.isWorking ? text.work.stale(planning.revision) : text.work.staleStopped(planning.revision);
}

function OpenJob({ view, state, answer }: OpenProps) {
  const [open, setOpen] = useState<Open>(null);
  const [isScheduleOpen, setScheduleOpen] = useState<Record<string, boolean>>({});
  const { shown, pinned, edits, outbox, planning, keynotes, isShownKept } = state;
  const { units } = answer.job;
  const reader = useMemo((): Reader => ({ locale: navigator.language, units }), [units]);
  const coverage = useCoverage(view, state);
  const capacity = useCapacity(view, state, reader);
  const wires = useWires(view, state, reader);
  const [drawing, setDrawing] = useState<HTMLElement | null>(null);
  const scale = useDrawnScale(drawing);
  const hasSchedule = isScheduleOpen[view.sheet] ?? !["house", "coverage"].includes(view.sheet);
  const toggleSchedule = useCallback(
    () => setScheduleOpen((before) => ({ ...before, [view.sheet]: !hasSchedule })),
    [view.sheet, hasSchedule],
  );
  const commands = commandsOf(view, state, {
    toggleSchedule,
    openKeys: () => setOpen("keys"),
    openHistory: () => setOpen("history"),
  });
  useKeys(commands);
  const sheetName = text.sheets[view.sheet];
  useEffect(() => {
    document.title = `${sheetName} · ${answer.job.name} · ${text.program}`;
  }, [sheetName, answer.job.name]);

  const onSheet = keynotes.filter((keynote) => isOnSheet(keynote, view.sheet));
  const showKeynote = (keynote: Keynote) => {
    const isAgain = view.selected?.kind === "keynote" && view.selected.id === keynote.id;
    refineWithin({
      selected: isAgain ? null : { kind: "keynote", id: keynote.id },
      ...(keynote.storey === null || view.storey === "all" ? {} : { storey: keynote.storey }),
    });
  };
  const apply = (remedy: Remedy) => {
    const made = applyRemedy(remedy, shown?.design ?? null, isShownKept);
    edits.edit(remedy.text, made);
    // What is changed is shown, and not the planner's option that it was until now.
    const isOfDesign = made.some(({ path }) => path.startsWith("designs"));
    if (shown && isOfDesign && view.design !== shown.id) refineWithin({ design: shown.id });
  };
  const selectedNote = view.selected?.kind === "keynote" ? view.selected.id : null;
  return (
    <div className="job">
      <JobHeader
        answer={answer}
        design={shown?.design.name ?? null}
        edits={edits}
        outbox={outbox}
        onHistory={() => setOpen("history")}
        onMore={() => setOpen("more")}
      />
      <SheetIndex view={view} keynotes={keynotes} />
      <main id="sheet" className="job-main" tabIndex={-1} aria-label={text.sheets[view.sheet]}>
        <Messages edits={edits} outbox={outbox} revision={answer.job.revision} />
        <Sheet
          view={view}
          state={state}
          answer={answer}
          reader={reader}
          coverage={coverage}
          capacity={capacity}
          wires={wires}
          keynotes={onSheet}
          hasSchedule={hasSchedule}
          onToggleSchedule={toggleSchedule}
          onDrawing={setDrawing}
        />
      </main>
      <aside className="job-margin" aria-label={text.job.margin}>
        <section
          className="margin-notes"
          aria-label={text.job.marginNotes}
          // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, with keys as well
          tabIndex={0}
        >
          <MarginSubject
            view={view}
            state={state}
            answer={answer}
            reader={reader}
            coverage={coverage}
            capacity={capacity}
            wires={wires}
          />
          <Keynotes
            keynotes={onSheet}
            elsewhere={view.sheet === "options" ? 0 : keynotes.length - onSheet.length}
            isPlanned={shown !== null}
            selected={selectedNote}
            reader={reader}
            onSelect={showKeynote}
            onApply={apply}
          />
        </section>
        <TitleBlock
          job={answer.job}
          sheet={sheetName}
          shown={shown}
          pinned={pinned}
          findings={keynotes.map((keynote) => keynote.finding)}
          pinnedFindings={[...(pinned?.findings ?? []), ...answer.problems]}
          staleNote={staleNoteOf(state)}
          scale={scale}
          reader={reader}
        />
      </aside>
      {open === "keys" && <KeysDialog lines={keyLines(commands)} onClose={() => setOpen(null)} />}
      {open === "history" && (
        <HistoryDialog id={state.id} revision={answer.job.revision} onClose={() => setOpen(null)} />
      )}
      {open === "more" && (
        <MoreDialog
          id={state.id}
          notes={answer.document.notes ?? []}
          onKeys={() => setOpen("keys")}
          onHistory={() => setOpen("history")}
          onClose={() => setOpen(null)}
        />
      )}
      {planning.isWorking && <span className="spoken">{text.work.planning}</span>}
    </div>
  );
}

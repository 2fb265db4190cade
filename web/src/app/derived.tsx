/** What is computed of the design that is shown: where it stands, and what the sheet says while it is not there. */

import type { QueryKey, UseQueryResult } from "@tanstack/react-query";
import { useCallback } from "react";
import { announce } from "../store/announce.ts";
import { client } from "../store/queries.ts";
import type { text } from "../text.ts";
import { Failure, Notice } from "../ui/Notice.tsx";
import { Working } from "../ui/Working.tsx";

export interface Derived<Answer> {
  answer: Answer | null;
  isStale: boolean;
  isWorking: boolean;
  error: Error | null;
  /** It was cancelled, and what is there is of another revision, or nothing. */
  isLeft: boolean;
  again(): void;
  cancel(): void;
}

interface Of {
  revision: number;
  design: { id: string };
}

/** Of a query that is asked for a design, or for none while its sheet is not shown. */
export function useDerived<Answer extends Of>(
  query: UseQueryResult<Answer>,
  design: string | null,
  key: QueryKey,
  cancelled: string,
): Derived<Answer> {
  const isShown = design !== null;
  const data = isShown && query.data?.design.id === design ? query.data : null;
  const { refetch } = query;
  return {
    answer: data,
    isStale: isShown && query.isPlaceholderData,
    isWorking: isShown && query.isFetching,
    error: isShown ? query.error : null,
    isLeft:
      isShown &&
      query.isEnabled &&
      !query.isFetching &&
      !query.error &&
      (query.isPlaceholderData || !query.data),
    again: useCallback(() => void refetch(), [refetch]),
    // biome-ignore lint/correctness/useExhaustiveDependencies: a key is what it holds
    cancel: useCallback(() => {
      void client.cancelQueries({ queryKey: key });
      announce(cancelled);
    }, [...key, cancelled]),
  };
}

type Words = (typeof text.derived)["cabling" | "cost" | "staying"];

/** What is being computed, and how to stop it. */
export function DerivedWork({ of, words }: { of: Derived<unknown>; words: Words }) {
  if (!of.isWorking) return null;
  const progress = { step: words.step, done: 0, total: 0 };
  return <Working title={words.working} progress={progress} onCancel={of.cancel} />;
}

/** Why something is not computed, and what to do. */
export function DerivedUnfinished({ of, words }: { of: Derived<unknown>; words: Words }) {
  return (
    <>
      {!of.isWorking && of.error && <Failure error={of.error} title={words.failed} onAgain={of.again} />}
      {of.isLeft && (
        <Notice
          tone="plain"
          title={words.none}
          actions={
            <button type="button" className="button main" onClick={of.again}>
              {words.start}
            </button>
          }
        />
      )}
    </>
  );
}

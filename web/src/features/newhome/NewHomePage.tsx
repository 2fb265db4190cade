/** A home from eight answers, with a sketch that follows them. */

import { useEffect, useState } from "react";
import { jobView } from "../../document/address.ts";
import { askedOf, firstAnswers, problemsElsewhere } from "../../document/newHome.ts";
import { createHome, ServerProblem } from "../../engine/calls.ts";
import type { FieldProblem, NewHome } from "../../engine/types.ts";
import { announce } from "../../store/announce.ts";
import { go } from "../../store/navigation.ts";
import { useCountries, useJobsChange, useSketch } from "../../store/queries.ts";
import { text } from "../../text.ts";
import { countryOfReader } from "../../ui/country.ts";
import { ProblemList } from "../../ui/Field.tsx";
import { Failure, Notice } from "../../ui/Notice.tsx";
import { answerPaths, Questions } from "./Questions.tsx";
import { Sketch } from "./Sketch.tsx";
import "./newhome.css";

/** How long the answers rest before they are sketched, milliseconds. */
const rest = 250;

function useRested<Value>(value: Value): Value {
  const [rested, setRested] = useState(value);
  useEffect(() => {
    const timer = setTimeout(() => setRested(value), rest);
    return () => clearTimeout(timer);
  }, [value]);
  return rested;
}

function fieldProblemsOf(error: unknown): FieldProblem[] {
  return error instanceof ServerProblem ? (error.problem.problems ?? []) : [];
}

export function NewHomePage() {
  const countries = useCountries();
  const [answers, setAnswers] = useState(() => firstAnswers(text.newHome.defaultName, countryOfReader()));
  const asked = askedOf(answers, text.newHome.needNumber);
  const restedAnswers = useRested(answers);
  const rested = askedOf(restedAnswers, text.newHome.needNumber);
  const [lastHome, setLastHome] = useState<NewHome>(() => rested.home as NewHome);
  if (rested.home && JSON.stringify(rested.home) !== JSON.stringify(lastHome)) setLastHome(rested.home);
  const sketch = useSketch(lastHome);
  // The last sketch that was possible stays, marked, while the answers do not fit.
  const [lastSketch, setLastSketch] = useState(sketch.data ?? null);
  if (sketch.data && sketch.data !== lastSketch) setLastSketch(sketch.data);
  const create = useJobsChange(createHome);
  const serverProblems = fieldProblemsOf(create.error).length
    ? fieldProblemsOf(create.error)
    : fieldProblemsOf(sketch.error);
  const problems = asked.home ? serverProblems : asked.problems;
  const elsewhere = problemsElsewhere(problems, answerPaths);
  const isSettled = !sketch.isFetching && sketch.isSuccess;
  useEffect(() => {
    if (isSettled) announce(text.newHome.sketched);
  }, [isSettled]);

  const submit = () => {
    if (asked.home) create.mutate(asked.home, { onSuccess: ({ job }) => go(jobView(job.id)) });
  };
  const failed = create.error ?? sketch.error;
  return (
    <main id="sheet" className="form-page newhome-page" tabIndex={-1}>
      <header className="page-head">
        <h1>{text.newHome.title}</h1>
        <p className="lead">{text.newHome.intro}</p>
      </header>
      <div className="newhome">
        <form
          noValidate
          onSubmit={(event) => {
            event.preventDefault();
            submit();
          }}
        >
          <Questions
            answers={answers}
            countries={countries.data ?? []}
            problems={problems}
            onChange={(next) => {
              create.reset();
              setAnswers(next);
            }}
          />
          {elsewhere.length > 0 && (
            <Notice tone="problem" title={text.newHome.problems}>
              <ProblemList problems={elsewhere} />
            </Notice>
          )}
          {failed !== null && serverProblems.length === 0 && (
            <Failure
              error={failed}
              title={create.error ? text.newHome.failedCreate : text.newHome.failedSketch}
              onAgain={create.error ? submit : () => void sketch.refetch()}
            />
          )}
          <div className="newhome-actions">
            <button
              type="submit"
              className="button main"
              disabled={!asked.home || create.isPending || problems.length > 0}
            >
              {create.isPending ? text.newHome.creating : text.newHome.create}
            </button>
          </div>
        </form>
        <Sketch
          answer={lastSketch}
          isStale={sketch.isError || !asked.home}
          onAnother={() => setAnswers({ ...answers, seed: answers.seed + 1 })}
        />
      </div>
    </main>
  );
}

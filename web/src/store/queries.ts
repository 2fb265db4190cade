/** What the page reads from the server, cached by job and revision. Late answers are dropped, old pictures kept meanwhile. */

import { keepPreviousData, QueryClient, useMutation, useQueries, useQuery } from "@tanstack/react-query";
import { create } from "zustand";
import { country } from "../document/format.ts";
import { type Progress, steadied } from "../document/progress.ts";
import * as calls from "../engine/calls.ts";
import type { Live } from "../engine/live.ts";
import type { Country, NewHome } from "../engine/types.ts";
import { setConnected } from "./outbox.ts";

export const client = new QueryClient({
  defaultOptions: {
    queries: {
      retry: (failures, error) => calls.isPassing(error) && failures < 3,
      retryDelay: (attempt) => Math.min(500 * 2 ** attempt, 4000),
      refetchOnWindowFocus: false,
      networkMode: "always",
    },
    mutations: { networkMode: "always" },
  },
});

client.getQueryCache().subscribe((event) => {
  if (event.type !== "updated") return;
  if (event.action.type === "success") setConnected(true);
  const error = event.action.type === "failed" || event.action.type === "error" ? event.action.error : null;
  if (error instanceof calls.ConnectionLost) setConnected(false);
});

/** Work under way for a job's plan or map. */
interface Work {
  plan: Progress | null;
  map: Progress | null;
}
export const useWork = create<Work>()(() => ({ plan: null, map: null }));

export const keys = {
  jobs: ["jobs"] as const,
  job: (id: string) => ["job", id] as const,
  house: (id: string) => ["house", id] as const,
  plan: (id: string) => ["plan", id] as const,
  capacity: (id: string) => ["capacity", id] as const,
  history: (id: string) => ["history", id] as const,
  cabling: (id: string) => ["cabling", id] as const,
  cost: (id: string) => ["cost", id] as const,
  staying: (id: string) => ["staying", id] as const,
};

/** While the server cannot be reached, what was asked is asked again now and then, milliseconds. */
const untilReached = {
  refetchInterval: (query: { state: { error: Error | null } }) =>
    query.state.error instanceof calls.ConnectionLost ? 3000 : false,
} as const;

export function useJobs(isArchived: boolean) {
  return useQuery({
    queryKey: [...keys.jobs, isArchived],
    queryFn: ({ signal }) => calls.listJobs(isArchived, signal),
    ...untilReached,
  });
}

export function useDemos() {
  return useQuery({
    queryKey: ["demos"],
    queryFn: ({ signal }) => calls.listDemos(signal),
    ...untilReached,
    staleTime: Number.POSITIVE_INFINITY,
  });
}

/** Countries by the names that the page gives them everywhere, in the reader's order. */
function named(countries: Country[]): Country[] {
  const { language } = navigator;
  return countries
    .map((listed) => ({ ...listed, name: country(listed.code, language) }))
    .sort((a, b) => a.name.localeCompare(b.name, language));
}

export function useCountries() {
  return useQuery({
    queryKey: ["countries"],
    queryFn: ({ signal }) => calls.listCountries(signal),
    select: named,
    staleTime: Number.POSITIVE_INFINITY,
  });
}

export function useJob(id: string) {
  return useQuery({
    queryKey: keys.job(id),
    queryFn: ({ signal }) => calls.readJob(id, signal),
    ...untilReached,
  });
}

const derived = {
  staleTime: Number.POSITIVE_INFINITY,
  placeholderData: keepPreviousData,
  refetchOnMount: false,
} as const;

export function useHouse(id: string, revision: number | null) {
  return useQuery({
    ...derived,
    queryKey: [...keys.house(id), revision],
    queryFn: ({ signal }) => calls.readHouse(id, signal),
    enabled: revision !== null,
  });
}

export function usePlan(id: string, revision: number | null, live: Live | null) {
  return useQuery({
    ...derived,
    queryKey: [...keys.plan(id), revision],
    queryFn: ({ signal }) => {
      if (!live) throw new calls.ConnectionLost();
      const finish = () => useWork.setState({ plan: null });
      finish();
      return live
        .plan(signal, (next) => useWork.setState(({ plan }) => ({ plan: steadied(plan, next) })))
        .finally(finish);
    },
    enabled: revision !== null && live !== null,
  });
}

export const assessmentKey = (id: string, revision: number | null, design: string | null) =>
  ["assessment", id, revision, design] as const;

/** The assessment of a design that is kept in the job, or of an option of an earlier plan. */
export function useAssessment(id: string, revision: number | null, design: string | null) {
  return useQuery({
    ...derived,
    queryKey: assessmentKey(id, revision, design),
    queryFn: ({ signal }) => calls.readAssessment(id, design ?? "", signal),
    enabled: revision !== null && design !== null,
  });
}

/** As `useAssessment`, of several designs; those that are not known yet are left out. */
export function useAssessments(id: string, revision: number | null, designs: readonly string[]) {
  return useQueries({
    queries: designs.map((design) => ({
      ...derived,
      queryKey: assessmentKey(id, revision, design),
      queryFn: ({ signal }: { signal: AbortSignal }) => calls.readAssessment(id, design, signal),
      enabled: revision !== null,
    })),
    combine: (found) =>
      found.flatMap(({ data }, place) => (data && data.option.id === designs[place] ? [data.option] : [])),
  });
}

/** The busy hour of a design; nothing is asked while `design` is null. */
export function useCapacityAnswer(id: string, revision: number | null, design: string | null) {
  return useQuery({
    ...derived,
    queryKey: [...keys.capacity(id), revision, design],
    queryFn: ({ signal }) => calls.readCapacity(id, design ?? "", signal),
    enabled: revision !== null && design !== null,
  });
}

/** How a design's cables run; nothing is asked while `design` is null. */
export function useCablingAnswer(id: string, revision: number | null, design: string | null) {
  return useQuery({
    ...derived,
    queryKey: [...keys.cabling(id), revision, design],
    queryFn: ({ signal }) => calls.readCabling(id, design ?? "", signal),
    enabled: revision !== null && design !== null,
  });
}

/** What a design costs; nothing is asked while `design` is null. */
export function useCostAnswer(id: string, revision: number | null, design: string | null) {
  return useQuery({
    ...derived,
    queryKey: [...keys.cost(id), revision, design],
    queryFn: ({ signal }) => calls.readCost(id, design ?? "", signal),
    enabled: revision !== null && design !== null,
  });
}

/** The options as a good, a better and a best offer. */
export function useOffer(id: string, revision: number | null, isAsked: boolean) {
  return useQuery({
    ...derived,
    queryKey: ["offer", id, revision],
    queryFn: ({ signal }) => calls.readOffer(id, signal),
    enabled: revision !== null && isAsked,
  });
}

/** How a design stays up; nothing is asked while `design` is null. */
export function useStayingAnswer(id: string, revision: number | null, design: string | null) {
  return useQuery({
    ...derived,
    queryKey: [...keys.staying(id), revision, design],
    queryFn: ({ signal }) => calls.readStaying(id, design ?? "", signal),
    enabled: revision !== null && design !== null,
  });
}

/** Who loses what while things are off; nothing is asked while nothing is off. */
export function useWhatIf(
  id: string,
  revision: number | null,
  design: string | null,
  { off, minutes }: calls.OffAsked,
) {
  return useQuery({
    ...derived,
    queryKey: ["what-if", id, revision, design, minutes, ...off],
    queryFn: ({ signal }) => calls.readWhatIf(id, design ?? "", { off, minutes }, signal),
    enabled: revision !== null && design !== null && off.length > 0,
    placeholderData: (before) => (off.length === 0 ? undefined : before),
    gcTime: 60_000,
  });
}

export function useMap(id: string, revision: number | null, asked: calls.MapAsked | null, live: Live | null) {
  return useQuery({
    ...derived,
    queryKey: ["map", id, revision, asked],
    queryFn: ({ signal }) => {
      if (!live || !asked) throw new calls.ConnectionLost();
      const finish = () => useWork.setState({ map: null });
      finish();
      return live
        .map(asked, signal, (next) => useWork.setState(({ map }) => ({ map: steadied(map, next) })))
        .finally(finish);
    },
    enabled: revision !== null && asked !== null && live !== null,
  });
}

export function useProbe(id: string, revision: number | null, asked: calls.ProbeAsked | null) {
  return useQuery({
    ...derived,
    queryKey: ["probe", id, revision, asked],
    queryFn: ({ signal }) => calls.readProbe(id, asked as calls.ProbeAsked, signal),
    enabled: revision !== null && asked !== null,
    placeholderData: (before) => (asked === null ? undefined : before),
    gcTime: 30_000,
  });
}

export function useHistory(id: string, revision: number | null, isOpen: boolean) {
  return useQuery({
    queryKey: [...keys.history(id), revision],
    queryFn: ({ signal }) => calls.readHistory(id, signal),
    enabled: isOpen,
    placeholderData: keepPreviousData,
  });
}

export function useSketch(home: NewHome) {
  return useQuery({
    queryKey: ["sketch", home],
    queryFn: ({ signal }) => calls.sketchHome(home, signal),
    placeholderData: keepPreviousData,
    staleTime: Number.POSITIVE_INFINITY,
  });
}

/** A change to the list of jobs, after which the list is read again. */
export function useJobsChange<Input, Output>(change: (input: Input) => Promise<Output>) {
  return useMutation({
    mutationFn: change,
    onSuccess: () => client.invalidateQueries({ queryKey: keys.jobs }),
  });
}

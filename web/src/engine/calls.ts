/** Calls to the server. One function a route; a refusal is a `ServerProblem`, a lost connection a `ConnectionLost`. */

import createClient from "openapi-fetch";
import type { paths } from "./api.d.ts";
import type {
  CablingAnswer,
  CapacityAnswer,
  CostAnswer,
  Country,
  Demo,
  Edit,
  HistoryEntry,
  JobSummary,
  MapBand,
  MapQuantity,
  NewHome,
  OfferAnswer,
  P,
  Problem,
  StayingAnswer,
  WhatIfAnswer,
} from "./types.ts";

/** The server understood and refused, and says what is wrong. */
export class ServerProblem extends Error {
  readonly problem: Problem;
  constructor(problem: Problem) {
    super(problem.detail || problem.title);
    this.name = "ServerProblem";
    this.problem = problem;
  }
}

/** The server could not be reached. */
export class ConnectionLost extends Error {
  constructor(cause?: unknown) {
    super("The server cannot be reached", { cause });
    this.name = "ConnectionLost";
  }
}

/** Whether asking again may help: the program is busy, or the job was edited while it was computed on. */
export function isPassing(error: unknown): boolean {
  if (!(error instanceof ServerProblem)) return error instanceof ConnectionLost;
  return error.problem.status === 503 || error.problem.type.endsWith("superseded");
}

function isProblem(body: unknown): body is Problem {
  return typeof body === "object" && body !== null && "title" in body;
}

async function problemOf(response: Response): Promise<Problem> {
  const body: unknown = await response.json().catch(() => null);
  if (isProblem(body)) {
    return {
      ...body,
      type: body.type ?? "about:blank",
      detail: body.detail ?? "",
      problems: body.problems ?? [],
      status: response.status,
    };
  }
  return {
    type: "about:blank",
    problems: [],
    title: response.statusText || String(response.status),
    status: response.status,
    detail: "",
  };
}

/** `fetch`, but a lost connection and a refusal are told apart, so that what comes back is always an answer. */
async function reach(request: Request): Promise<Response> {
  let response: Response;
  try {
    response = await globalThis.fetch(request);
  } catch (cause) {
    if (cause instanceof DOMException && cause.name === "AbortError") throw cause;
    throw new ConnectionLost(cause);
  }
  // A gateway in between says so when the server behind it is gone; the server itself sends a problem.
  const isFromServer = response.headers.get("content-type")?.includes("json") ?? false;
  if ([502, 503, 504].includes(response.status) && !isFromServer) throw new ConnectionLost(response.status);
  if (!response.ok) throw new ServerProblem(await problemOf(response));
  return response;
}

const api = createClient<paths>({ baseUrl: globalThis.location?.origin ?? "", fetch: reach });

type Content<Operation, Status extends number> = Operation extends {
  responses: Record<Status, { content: { "application/json": infer Data } }>;
}
  ? Data
  : never;
/** What a route answers. It is read off the description, since the client's own type loses points' lengths. */
type Got<Path extends keyof paths> = Content<paths[Path]["get"], 200>;
type Posted<Path extends keyof paths, Status extends 200 | 201> = Content<paths[Path]["post"], Status>;

/** What came back; `reach` has thrown if it was no answer. */
async function answer<Data>(sent: Promise<{ data?: unknown }>): Promise<Data> {
  return (await sent).data as Data;
}

type Signal = AbortSignal | undefined;

/** `signal` only where there is one. */
function until(signal: Signal): { signal?: AbortSignal } {
  return signal ? { signal } : {};
}

function by(who: string): { who?: string } {
  return who.trim() === "" ? {} : { who: who.trim() };
}

export async function listJobs(archived: boolean, signal?: AbortSignal): Promise<JobSummary[]> {
  const query = { archived };
  return (await answer<Got<"/api/jobs">>(api.GET("/api/jobs", { params: { query }, ...until(signal) }))).jobs;
}

export async function listDemos(signal?: AbortSignal): Promise<Demo[]> {
  return (await answer<Got<"/api/demos">>(api.GET("/api/demos", until(signal)))).demos;
}

export async function listCountries(signal?: AbortSignal): Promise<Country[]> {
  return (await answer<Got<"/api/countries">>(api.GET("/api/countries", until(signal)))).countries;
}

export function openDemo(id: string, who: string): Promise<Posted<"/api/demos/{id}", 201>> {
  return answer(api.POST("/api/demos/{id}", { params: { path: { id } }, body: by(who) }));
}

export function readJob(id: string, signal?: AbortSignal): Promise<Got<"/api/jobs/{id}">> {
  return answer(api.GET("/api/jobs/{id}", { params: { path: { id } }, ...until(signal) }));
}

export function readHouse(id: string, signal?: AbortSignal): Promise<Got<"/api/jobs/{id}/house">> {
  return answer(api.GET("/api/jobs/{id}/house", { params: { path: { id } }, ...until(signal) }));
}

export function readAssessment(
  id: string,
  design: string,
  signal?: AbortSignal,
): Promise<Got<"/api/jobs/{id}/assessment">> {
  const params = { path: { id }, query: { design } };
  return answer(api.GET("/api/jobs/{id}/assessment", { params, ...until(signal) }));
}

export function readCapacity(id: string, design: string, signal?: AbortSignal): Promise<CapacityAnswer> {
  const params = { path: { id }, query: { design } };
  return answer(api.GET("/api/jobs/{id}/capacity", { params, ...until(signal) }));
}

export function readCabling(id: string, design: string, signal?: AbortSignal): Promise<CablingAnswer> {
  const params = { path: { id }, query: { design } };
  return answer(api.GET("/api/jobs/{id}/cabling", { params, ...until(signal) }));
}

export function readCost(id: string, design: string, signal?: AbortSignal): Promise<CostAnswer> {
  const params = { path: { id }, query: { design } };
  return answer(api.GET("/api/jobs/{id}/cost", { params, ...until(signal) }));
}

export function readOffer(id: string, signal?: AbortSignal): Promise<OfferAnswer> {
  return answer(api.GET("/api/jobs/{id}/offer", { params: { path: { id } }, ...until(signal) }));
}

export function readStaying(id: string, design: string, signal?: AbortSignal): Promise<StayingAnswer> {
  const params = { path: { id }, query: { design } };
  return answer(api.GET("/api/jobs/{id}/resilience", { params, ...until(signal) }));
}

export interface OffAsked {
  off: readonly string[];
  /** For the mains and circuits: for how many minutes they have been out; for good if null. */
  minutes: number | null;
}

/** Who loses what while things are off. */
export function readWhatIf(
  id: string,
  design: string,
  { off, minutes }: OffAsked,
  signal?: AbortSignal,
): Promise<WhatIfAnswer> {
  const query = { design, off: off.join(","), ...(minutes === null ? {} : { minutes }) };
  return answer(api.GET("/api/jobs/{id}/what-if", { params: { path: { id }, query }, ...until(signal) }));
}

export interface MapAsked {
  design: string;
  storey: string;
  band: MapBand;
  quantity: MapQuantity;
}

/** A part of the design that is thought elsewhere on its storey; nothing is stored. */
export interface MoveAsked {
  part: string;
  to: readonly [number, number];
}

function moveQuery(move: MoveAsked | null): { move?: string; to_x?: number; to_y?: number } {
  return move ? { move: move.part, to_x: move.to[0], to_y: move.to[1] } : {};
}

/** A map in which a part is thought elsewhere, in coarse cells while it moves. */
export function readMovedMap(
  id: string,
  asked: MapAsked,
  move: MoveAsked,
  isCoarse: boolean,
  signal?: AbortSignal,
): Promise<Got<"/api/jobs/{id}/map">> {
  const params = { path: { id }, query: { ...asked, ...moveQuery(move), coarse: isCoarse } };
  return answer(api.GET("/api/jobs/{id}/map", { params, ...until(signal) }));
}

export interface ProbeAsked {
  design: string;
  storey: string;
  at: P;
  band: MapBand;
  move: MoveAsked | null;
}

export function readProbe(
  id: string,
  asked: ProbeAsked,
  signal?: AbortSignal,
): Promise<Got<"/api/jobs/{id}/probe">> {
  const { at, move, ...rest } = asked;
  const params = { path: { id }, query: { ...rest, x: at[0], y: at[1], ...moveQuery(move) } };
  return answer(api.GET("/api/jobs/{id}/probe", { params, ...until(signal) }));
}

export async function readHistory(id: string, signal?: AbortSignal): Promise<HistoryEntry[]> {
  const params = { path: { id } };
  const sent = api.GET("/api/jobs/{id}/history", { params, ...until(signal) });
  return (await answer<Got<"/api/jobs/{id}/history">>(sent)).entries;
}

export function sendEdits(
  id: string,
  baseRevision: number,
  label: string,
  edits: Edit[],
  who: string,
): Promise<Posted<"/api/jobs/{id}/edits", 200>> {
  const body = { base_revision: baseRevision, label, edits, ...by(who) };
  return answer(api.POST("/api/jobs/{id}/edits", { params: { path: { id } }, body }));
}

export function sendStep(
  id: string,
  step: "undo" | "redo",
  baseRevision: number,
  who: string,
): Promise<Posted<"/api/jobs/{id}/undo", 200>> {
  const body = { base_revision: baseRevision, ...by(who) };
  const sent = { params: { path: { id } }, body };
  return answer(
    step === "undo" ? api.POST("/api/jobs/{id}/undo", sent) : api.POST("/api/jobs/{id}/redo", sent),
  );
}

export function duplicateJob(id: string, who: string): Promise<Posted<"/api/jobs/{id}/duplicate", 201>> {
  return answer(api.POST("/api/jobs/{id}/duplicate", { params: { path: { id } }, body: by(who) }));
}

export function archiveJob(id: string, archived: boolean): Promise<Posted<"/api/jobs/{id}/archive", 200>> {
  return answer(api.POST("/api/jobs/{id}/archive", { params: { path: { id } }, body: { archived } }));
}

export function sketchHome(home: NewHome, signal?: AbortSignal): Promise<Posted<"/api/sketch", 200>> {
  return answer(api.POST("/api/sketch", { body: home, ...until(signal) }));
}

export function createHome(home: NewHome): Promise<Posted<"/api/jobs/new", 201>> {
  return answer(api.POST("/api/jobs/new", { body: home }));
}

/** A job file as text; the server tells TOML from JSON by its name. */
export function uploadJobFile(file: File): Promise<Posted<"/api/jobs/upload", 201>> {
  const type = /\.json$/i.test(file.name) ? "application/json" : "application/toml";
  return answer(
    api.POST("/api/jobs/upload", {
      params: { query: { name: file.name } },
      headers: { "content-type": type },
      // The description calls the body a text; the file is sent as it is.
      body: file as unknown as string,
      bodySerializer: (body: unknown) => body as File,
    }),
  );
}

export interface ModelFiles {
  architecture: File;
  electrical: File | null;
  dwelling: string | null;
  country: string;
  who: string;
}

export function importModel(files: ModelFiles): Promise<Posted<"/api/jobs/import", 201>> {
  const form = new FormData();
  form.set("architecture", files.architecture);
  if (files.electrical) form.set("electrical", files.electrical);
  if (files.dwelling) form.set("dwelling", files.dwelling);
  form.set("country", files.country);
  if (files.who.trim() !== "") form.set("who", files.who.trim());
  // The form as a whole is the body; the browser states its boundary.
  const body = form as unknown as { architecture: string };
  return answer(api.POST("/api/jobs/import", { body, bodySerializer: (sent: unknown) => sent as FormData }));
}

/** Where the job is downloaded as a file. */
export function jobFileAddress(id: string): string {
  return `/api/jobs/${encodeURIComponent(id)}/document.toml`;
}

import type { Flow } from '../flow/flow.js';

/** Where the desk has its flows from. */
export type FlowSource = {
  /** The flow as it stands now, if it is free of faults and proved; else null. */
  current(id: string): Flow | null;
  /** Flows that a person may start, by id. */
  startable(): readonly string[];
  /** The texts of a current flow's bundle, to be kept with its jobs. */
  texts(flow: Flow): ReadonlyMap<string, string>;
  /** A job's own flow, from the texts that were kept when it started. Throws when they do not give it. */
  restore(texts: ReadonlyMap<string, string>, flow: string, bundle: string): Flow;
};

import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import type { Store } from '../journal/store.js';
import type { FlowSource } from './flow-source.js';

/** The flow of a job as it was when the job began; null when its texts cannot be read any more. */
export async function flowOfJob(flows: FlowSource, store: Store, job: Job): Promise<Flow | null> {
  const current = flows.current(job.flow);
  if (current !== null && current.bundle === job.bundle) return current;
  try {
    const texts = await store.readBundle(job.bundle);
    return texts === null ? null : flows.restore(texts, job.flow, job.bundle);
  } catch {
    return null;
  }
}

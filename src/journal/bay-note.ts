import { hash } from 'node:crypto';
import * as z from 'zod';
import type { Disk } from './disk.js';

/**
 * The bay of a job under way, `bays/JOB.json`, beside its journal: when the first line of the journal cannot be read
 * any more, the bay with the half-done car in it must still be known.
 */

const FOLDER = 'bays';
const NOTE = z.object({ job: z.string(), bay: z.string(), hash: z.string() });

const pathOf = (job: string) => `${FOLDER}/${job}.json`;
const sumOf = (job: string, bay: string) => hash('sha256', JSON.stringify([job, bay]));

/** Notes the bay, on the disk when this returns. */
export async function noteBay(disk: Disk, job: string, bay: string): Promise<void> {
  await disk.makeFolder(FOLDER);
  await disk.write(pathOf(job), Buffer.from(`${JSON.stringify({ job, bay, hash: sumOf(job, bay) })}\n`));
  await disk.syncFolder(FOLDER);
}

/** The noted bay; null when there is no note or it is not as it was written. */
export async function readBay(disk: Disk, job: string): Promise<string | null> {
  const bytes = await disk.read(pathOf(job));
  try {
    const note = NOTE.parse(JSON.parse(bytes?.toString('utf8') ?? ''));
    return note.job === job && note.hash === sumOf(job, note.bay) ? note.bay : null;
  } catch {
    return null;
  }
}

export function removeBay(disk: Disk, job: string): Promise<void> {
  return disk.remove(pathOf(job));
}

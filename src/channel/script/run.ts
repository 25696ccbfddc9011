import { dirname, join } from 'node:path';
import type { FlowSource } from '../../desk/flow-source.js';
import { printRegisterFault } from '../../shop/fault.js';
import type { Register } from '../../shop/register.js';
import type { ScriptFault } from './line.js';
import { type Played, play } from './play.js';
import { type ReadText, readScript, type Script, strangers } from './script.js';
import { DEMO_SHOP, readWorkshop } from './workshop.js';

export type RunParts = { readonly flows: FlowSource; readonly read: ReadText };

/** What came of a script. */
export type Outcome = Played & {
  readonly file: string;
  readonly title: string;
  /** Lines that are not understood. With any of them nothing is run. */
  readonly faults: readonly ScriptFault[];
};

/** Runs a script on a fresh desk. */
export async function runScript(file: string, { flows, read }: RunParts): Promise<Outcome> {
  const script = await readScript(file, read);
  const empty = { file, title: script.title, checks: 0, failures: [], thread: [] };
  if (script.faults.length > 0) return { ...empty, faults: script.faults };
  const register = await registerOf(script);
  if ('faults' in register) return { ...empty, faults: register.faults };
  const faults = strangers(script, register.register);
  if (faults.length > 0) return { ...empty, faults };
  return { file, title: script.title, faults: [], ...(await play(script, register.register, flows)) };
}

async function registerOf(
  script: Script,
): Promise<{ readonly register: Register } | { readonly faults: readonly ScriptFault[] }> {
  const line = script.lines.findLast(({ does }) => does?.do === 'shop');
  const name = line?.does?.do === 'shop' ? line.does.name : DEMO_SHOP;
  const checked = await readWorkshop(name === DEMO_SHOP ? name : join(dirname(line?.file ?? ''), name));
  if (checked.ok) return { register: checked.register };
  const at = { file: line?.file ?? script.file, line: line?.line ?? 0 };
  return {
    faults: checked.faults.map((fault) => ({
      ...at,
      problem: `the register of "${name}" has a fault: ${printRegisterFault(fault)}`,
      remedy: 'Correct it, or write "shop demo".',
    })),
  };
}

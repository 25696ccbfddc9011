import { dirname, join } from 'node:path';
import type { Person } from '../../job/world.js';
import { distance } from '../../rule/distance.js';
import type { Register } from '../../shop/register.js';
import { parseScript } from './grammar.js';
import { isAct, type ScriptFault, type ScriptLine } from './line.js';

/** A script with the lines of those it is `like` in front of its own. */
export type Script = {
  readonly file: string;
  readonly title: string;
  readonly lines: readonly ScriptLine[];
  readonly faults: readonly ScriptFault[];
};

/** The text of a file, or null when there is none. */
export type ReadText = (path: string) => Promise<string | null>;

/** Reads a script and all it is like; all faults of all of them. */
export async function readScript(file: string, read: ReadText): Promise<Script> {
  const text = await read(file);
  if (text === null) {
    const remedy = 'Check the path; it is taken from where you are.';
    return {
      file,
      title: file,
      lines: [],
      faults: [{ file, line: 0, problem: 'there is no such file', remedy }],
    };
  }
  return expand(text, file, read, [file]);
}

async function expand(text: string, file: string, read: ReadText, above: readonly string[]): Promise<Script> {
  const { title, lines, faults } = parseScript(text, file);
  const all: ScriptLine[] = [];
  const found: ScriptFault[] = [...faults];
  for (const line of lines) {
    const { does } = line;
    const fault = (problem: string, remedy: string) => found.push({ file, line: line.line, problem, remedy });
    if (does?.do === 'like') {
      const path = join(dirname(file), does.file);
      const other = above.includes(path) ? null : await read(path);
      if (above.includes(path)) fault(`${does.file} is like this script itself`, 'Take one of the two out.');
      else if (other === null) fault(`there is no ${path}`, 'Write the path from this script.');
      else {
        const expanded = await expand(other, path, read, [...above, path]);
        all.push(...expanded.lines);
        found.push(...expanded.faults);
      }
      continue;
    }
    const sets = does?.do === 'shop' || does?.do === 'at';
    // Within one file the grammar has told it already.
    if (sets && all.some((before) => before.file !== file && isAct(before))) {
      fault(`"${does.do}" comes after acts of a script that this one is like`, 'Put it into that script.');
    }
    all.push(line);
  }
  return { file, title, lines: all, faults: found };
}

/** The person of the register with this id or name, or null: a guest. */
export function personCalled(register: Register, who: string): Person | null {
  const wanted = who.toLowerCase();
  for (const person of register.people.values()) {
    if (person.id.toLowerCase() === wanted || person.name.toLowerCase() === wanted) return person;
  }
  return null;
}

/** Names and bays that the workshop does not have. A guest is one word, and not one slip away from a person. */
export function strangers(script: Script, register: Register): readonly ScriptFault[] {
  const faults: ScriptFault[] = [];
  for (const { file, line, does } of script.lines) {
    if (does === null) continue;
    if (does.do === 'bay' && !hasThread(register, does.thread)) {
      const bays = [...register.bays.keys()].join(', ');
      faults.push({
        file,
        line,
        problem: `there is no bay "${does.thread}"`,
        remedy: `Write one of: ${bays}, foreman, shop.`,
      });
    }
    if (!('who' in does) || does.who === 'bot' || personCalled(register, does.who) !== null) continue;
    const near = [...register.people.keys()].find(
      (id) => id.length > 3 && distance(id, does.who.toLowerCase()) < 2,
    );
    const problem = `nobody here is called "${does.who}"`;
    if (near !== undefined)
      faults.push({ file, line, problem, remedy: `Write "${near}", or a guest's name less like it.` });
    else if (does.who.includes(' '))
      faults.push({ file, line, problem, remedy: 'Write a register id or name, or one word for a guest.' });
  }
  return faults;
}

function hasThread(register: Register, thread: string): boolean {
  return thread === 'foreman' || thread === 'shop' || register.bays.has(thread);
}

import { distance } from '../rule/distance.js';
import type { Fault } from './fault.js';
import type { Path } from './source.js';
import { type FlowFile, filesOf, type Shelf } from './text.js';

/** Fewer slips of thumb or ear than this must never turn one gate word into another. */
export const LEAST_DISTANCE = 4;
/** A sound key is shorter than its word; two of them have to differ in at least this many sounds. */
export const LEAST_SOUND_DISTANCE = 2;

/** Words that mean something in a reply or in the trade: no gate may be sealed with them. Six letters or more. */
export const RESERVED: readonly string[] = `
  accept accepted adjust affirm affirmative agreed allright alright answer approve approved
  around cancel caution change checked cleared complete completed confirm confirmed continue
  correct danger declined emergency finish finished foreman forward handover hazard ignore looked
  moment negative nothing number numbers override passed paused perfect please problem proceed
  refuse release released repeat resume second settled signed skipped standby started stopped
  thanks undone update verified warning watched witness wrong

  ampere barrier battery bonding bracket cartridge casualty charge charger charged circuit closed
  conductor connector contactor coolant coupling covered current discharge disconnect earthed
  earthing electric energise energised exposed gloves ground harness ignition insulated
  insulation isolate isolated joined locked lowered measure measured minutes opened parked
  pattern plugged powered primer proved proven raised reading resealed sealant sealed secured
  sensor serial service socket solvent source spanner station strapped tested tester tighten
  tightened torque trigger unlock unlocked vehicle voltage washer workshop wrench
`
  .trim()
  .split(/\s+/);

type Spoken = { readonly word: string; readonly file: FlowFile; readonly path: Path; readonly gate: string };

/** Gate words of all files: long, plain, without other meaning, and far apart in spelling and in sound. */
export function checkWords(shelf: Shelf, reserved: readonly string[] = RESERVED): readonly Fault[] {
  const faults: Fault[] = [];
  const spoken = wordsIn(shelf);
  const taken = new Set(reserved.map((word) => word.toUpperCase()));
  for (const { word, file, path } of spoken) {
    const complain = (problem: string, remedy: string) =>
      faults.push(file.source.fault(path, problem, remedy));
    if (!/^[A-Z]+$/.test(word))
      complain(`gate word "${word}" is not in plain capitals`, 'write letters A to Z only');
    else if (word.length < 6) complain(`gate word "${word}" is too short`, 'take one of six letters or more');
    else if (taken.has(word))
      complain(`gate word "${word}" has a meaning here`, 'take one that nobody says at work');
  }
  for (const [index, one] of spoken.entries()) {
    for (const other of spoken.slice(0, index)) {
      const clash = clashOf(one, other);
      if (clash === null) continue;
      const where = `${other.file.source.name}:${other.file.source.fault(other.path, '', '').line}`;
      faults.push(one.file.source.fault(one.path, `${clash} (${where})`, 'take another word'));
      break;
    }
  }
  return faults;
}

function wordsIn(shelf: Shelf): readonly Spoken[] {
  const spoken: Spoken[] = [];
  for (const file of filesOf(shelf)) {
    for (const line of file.lines) {
      if (line.is !== 'step' || line.kind !== 'gate') continue;
      for (const [index, word] of (line.step.words ?? []).entries()) {
        spoken.push({ word, file, path: [...line.path, 'words', index], gate: line.step.gate ?? '' });
      }
    }
  }
  return spoken;
}

function clashOf(one: Spoken, other: Spoken): string | null {
  if (one.word === other.word) {
    const twice = one.file === other.file && one.path.slice(0, -1).join() === other.path.slice(0, -1).join();
    if (twice) return `gate word "${one.word}" stands here twice`;
    return one.gate === other.gate ? null : `gate word "${one.word}" seals another declaration too`;
  }
  const slips = distance(one.word, other.word);
  if (slips < LEAST_DISTANCE) return `"${one.word}" differs from "${other.word}" by ${slips} only`;
  if (distance(soundOf(one.word), soundOf(other.word)) < LEAST_SOUND_DISTANCE) {
    return `"${one.word}" sounds like "${other.word}"`;
  }
  return null;
}

const SOUNDS: readonly (readonly [RegExp, string])[] = [
  [/^(?:KN|GN|PN)/, 'N'],
  [/^WR/, 'R'],
  [/PH/g, 'F'],
  [/GHT/g, 'T'],
  [/GH/g, ''],
  [/TCH|CH|SH|TIO|SIO|SCH/g, 'X'],
  [/CK|Q/g, 'K'],
  [/C(?=[EIY])/g, 'S'],
  [/C/g, 'K'],
  [/G(?=[EIY])/g, 'J'],
  [/X/g, 'X'],
  [/Z/g, 'S'],
  [/V/g, 'F'],
  [/B/g, 'P'],
  [/D/g, 'T'],
  [/G/g, 'K'],
  [/M/g, 'N'],
];

/**
 * How a word sounds in a loud workshop: its consonants, those that are easily taken for each other as one, and
 * whether it begins with a vowel. A rough key of our own, stricter than the ear.
 */
export function soundOf(word: string): string {
  let sound = word.toUpperCase();
  for (const [from, to] of SOUNDS) sound = sound.replace(from, to);
  const first = /^[AEIOUY]/.test(sound) ? 'A' : '';
  return first + sound.replace(/[AEIOUYHW]/g, '').replace(/(.)\1+/g, '$1');
}

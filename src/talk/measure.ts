import type { Unclear } from '../job/heard.js';
import { ambiguousUnit, parseUnit } from '../units/notation.js';
import { dimensionOf, type Unit } from '../units/unit.js';

/** A unit as said beside a number. Null: a word that says no more than the step's own unit does, such as `degrees`. */
export type Measure =
  | { readonly ok: true; readonly unit: Unit | null }
  | { readonly ok: false; readonly because: Unclear; readonly detail: string };

const fault = (because: Unclear, detail: string): Measure => ({ ok: false, because, detail });

/** Prefixes without a unit, and words whose case alone tells a thousandth from a million. */
const PREFIX = /^[kKmMgG]$/;
const BY_CASE = /^m(?:v|a|Ω|ω|ohms?)$/i;
const MILLIOHM = /^m(?:[Ωω\u2126]|ohms?)$/;
const ALTERNATING = /^(?:v|volts?)[\s.-]*a\.?c\.?$/i;

/** Whether a word is a unit or could be one. */
export function isUnitWord(text: string): boolean {
  const known = asked.get(text);
  if (known !== undefined) return known;
  const is = parseUnit(text) !== null || ambiguousUnit(text).length > 0 || BY_CASE.test(text);
  if (asked.size >= MOST_ASKED) asked.clear();
  asked.set(text, is);
  return is;
}

// The same few words all day.
const asked = new Map<string, boolean>();
const MOST_ASKED = 512;

/**
 * The unit that a word or several mean where `wanted` is measured; null for what is no unit at all. Words with several
 * readings are settled by the dimension where that leaves one (`kilo` of mass, `K` of temperature) and asked back
 * otherwise. Alternating volts are a wrong unit everywhere here: a tester left on AC proves nothing dead.
 */
export function measureOf(text: string, wanted: Unit | null): Measure | null {
  const words = `${text}\n${wanted ?? ''}`;
  const known = measured.get(words);
  if (known !== undefined) return known;
  const measure = readMeasure(text, wanted);
  if (measured.size >= MOST_ASKED) measured.clear();
  measured.set(words, measure);
  return measure;
}

const measured = new Map<string, Measure | null>();

function readMeasure(text: string, wanted: Unit | null): Measure | null {
  if (ALTERNATING.test(text)) return fault('wrong-unit', `V AC, ${wanted ?? 'V'}`);
  // Only where milliohms are asked is a small m taken at its word.
  if (wanted === 'mΩ' && MILLIOHM.test(text)) return { ok: true, unit: 'mΩ' };
  const dimension = wanted === null ? null : dimensionOf(wanted);
  const readings = ambiguousUnit(text);
  const usual = parseUnit(text);
  if (readings.length > 0) {
    const same = readings.filter((unit) => dimension === null || dimensionOf(unit) === dimension);
    const [only, other] = same;
    if (only === undefined) return fault('wrong-unit', `${text}, ${wanted ?? ''}`);
    // A reading that is not among our units, a thousandth of an inch, keeps a single one open.
    const hidden = readings.length === 1 || (dimension === 'length' && /^mils?$/i.test(text));
    if (dimension !== null && other === undefined && !hidden) return { ok: true, unit: only };
    if (usual !== null && dimension === 'temperature') return { ok: true, unit: null };
    return fault('ambiguous-unit', hidden ? text : same.join(', '));
  }
  if (usual === null) return BY_CASE.test(text) ? fault('ambiguous-unit', text) : null;
  if (dimension === null || dimensionOf(usual) === dimension) return { ok: true, unit: usual };
  if (usual === '°' && dimension === 'temperature') return { ok: true, unit: null };
  if (PREFIX.test(text)) return fault('ambiguous-unit', text);
  return fault('wrong-unit', `${usual}, ${wanted ?? ''}`);
}

/** Where something stands in a file, both from 1. */
export type Position = { readonly line: number; readonly column: number };

/** What is wrong with the writing of a file. */
export type Slip = Position & { readonly problem: string; readonly remedy: string };

export type Path = readonly PropertyKey[];

export type Json =
  | {
      readonly ok: true;
      readonly value: unknown;
      /** Where the value at a path stands; the nearest one above it when there is none. */
      readonly placeOf: (path: Path) => Position;
    }
  | { readonly ok: false; readonly slips: readonly Slip[] };

/** Reads JSON as a person wrote it: keeps places, finds keys written twice, and says what the slip was. */
export function parseJson(text: string): Json {
  const reader = new Reader(text.startsWith('\uFEFF') ? text.slice(1) : text);
  try {
    const value = reader.whole();
    if (reader.slips.length > 0) return { ok: false, slips: reader.slips };
    return { ok: true, value, placeOf: (path) => reader.placeOf(path) };
  } catch (error) {
    if (error instanceof SlipError) return { ok: false, slips: [...reader.slips, error.slip] };
    throw error;
  }
}

class SlipError extends Error {
  constructor(readonly slip: Slip) {
    super(slip.problem);
  }
}

const keyOf = (path: Path) => path.map(String).join('\n');

class Reader {
  readonly slips: Slip[] = [];
  private readonly places = new Map<string, number>();
  private at = 0;

  constructor(private readonly text: string) {}

  whole(): unknown {
    this.blanks();
    if (this.at === this.text.length) throw this.slip('the file is empty', 'Put the last copy back.');
    const value = this.value([]);
    this.blanks();
    if (this.at < this.text.length) throw this.slip('something follows the last bracket', 'Take it away.');
    return value;
  }

  placeOf(path: Path): Position {
    for (let length = path.length; length >= 0; length--) {
      const at = this.places.get(keyOf(path.slice(0, length)));
      if (at !== undefined) return this.position(at);
    }
    return { line: 1, column: 1 };
  }

  private value(path: Path): unknown {
    if (!this.places.has(keyOf(path))) this.places.set(keyOf(path), this.at);
    const next = this.text[this.at];
    if (next === '{') return this.object(path);
    if (next === '[') return this.list(path);
    if (next === '"') return this.string();
    const word = /^(?:true|false|null)\b/.exec(this.text.slice(this.at, this.at + 6))?.[0];
    if (word !== undefined) {
      this.at += word.length;
      return word === 'null' ? null : word === 'true';
    }
    return this.number();
  }

  private object(path: Path): Record<string, unknown> {
    const entries = new Map<string, unknown>();
    this.items('}', () => {
      if (this.text[this.at] !== '"') throw this.odd('a name in double quotes');
      const start = this.at;
      const name = this.string();
      if (entries.has(name)) {
        const { line, column } = this.position(start);
        this.slips.push({
          line,
          column,
          problem: `"${name}" is written twice`,
          remedy: 'Take one of them away.',
        });
      }
      this.places.set(keyOf([...path, name]), start);
      this.blanks();
      if (this.text[this.at] !== ':') throw this.odd(`a colon after "${name}"`);
      this.at++;
      this.blanks();
      entries.set(name, this.value([...path, name]));
    });
    return Object.fromEntries(entries);
  }

  private list(path: Path): unknown[] {
    const values: unknown[] = [];
    this.items(']', () => values.push(this.value([...path, values.length])));
    return values;
  }

  private items(close: string, item: () => void): void {
    this.at++;
    this.blanks();
    if (this.text[this.at] === close) {
      this.at++;
      return;
    }
    for (;;) {
      item();
      const end = this.at;
      this.blanks();
      const next = this.text[this.at];
      if (next === close) break;
      if (next !== ',') {
        if (next !== undefined && /["{[\w]/.test(next)) {
          throw this.slip('a comma is missing here', 'Put a comma between the two.', end);
        }
        throw this.odd(`a comma or ${close}`);
      }
      const comma = this.at++;
      this.blanks();
      if (this.text[this.at] === close) {
        throw this.slip(`a comma too many before ${close}`, 'Take it away.', comma);
      }
    }
    this.at++;
  }

  private string(): string {
    const found = /"(?:[^"\\\n\r]|\\.)*"/y;
    found.lastIndex = this.at;
    const raw = found.exec(this.text)?.[0];
    if (raw === undefined)
      throw this.slip('this text is not closed on its line', 'Close it with a double quote.');
    try {
      const text: unknown = JSON.parse(raw);
      this.at += raw.length;
      return String(text);
    } catch {
      throw this.slip('a character in this text cannot stand there', 'Write \\\\ for a backslash, no tabs.');
    }
  }

  private number(): number {
    const found = /[-+.\d][-+.\deE]*/y;
    found.lastIndex = this.at;
    const raw = found.exec(this.text)?.[0];
    if (raw === undefined) throw this.odd('a value');
    if (!/^-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][-+]?\d+)?$/.test(raw)) {
      throw this.slip(
        `${raw} is not a number as JSON has it`,
        'No leading zero, no plus; or put it in quotes.',
      );
    }
    this.at += raw.length;
    return Number(raw);
  }

  private blanks(): void {
    while (/[ \t\n\r]/.test(this.text[this.at] ?? '')) this.at++;
  }

  private odd(wanted: string): SlipError {
    const next = this.text[this.at];
    if (next === undefined) {
      return this.slip(
        `the file ends where ${wanted} should stand`,
        'It was cut off: put the last copy back.',
      );
    }
    if (/['‘’“”„«»]/.test(next))
      return this.slip(`${next} is no quote here`, 'Use the straight double quote ".');
    if (next === '/' || next === '#')
      return this.slip('a remark cannot stand here', 'Use "note": "…" instead.');
    return this.slip(`found ${next} where ${wanted} should stand`, 'See the line, and the one before it.');
  }

  private slip(problem: string, remedy: string, at = this.at): SlipError {
    return new SlipError({ ...this.position(at), problem, remedy });
  }

  private position(at: number): Position {
    const before = this.text.slice(0, at);
    const lineStart = before.lastIndexOf('\n') + 1;
    return { line: before.split('\n').length, column: at - lineStart + 1 };
  }
}

const WIDTH = 140;

/** A document as a person likes to edit it: what fits a line stands on one. Ends with an end of line. */
export function printJson(value: unknown): string {
  return `${print(value, '', 0)}\n`;
}

function print(value: unknown, indent: string, used: number): string {
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  const flat = printFlat(value);
  if (indent !== '' && indent.length + used + flat.length < WIDTH) return flat;
  const deeper = `${indent}  `;
  if (Array.isArray(value)) {
    if (value.length === 0) return '[]';
    return `[\n${value.map((item) => deeper + print(item, deeper, 0)).join(',\n')}\n${indent}]`;
  }
  const entries = Object.entries(value).filter(([, item]) => item !== undefined);
  if (entries.length === 0) return '{}';
  const lines = entries.map(([name, item]) => {
    const label = `${JSON.stringify(name)}: `;
    return deeper + label + print(item, deeper, label.length);
  });
  return `{\n${lines.join(',\n')}\n${indent}}`;
}

function printFlat(value: unknown): string {
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map(printFlat).join(', ')}]`;
  const entries = Object.entries(value).filter(([, item]) => item !== undefined);
  if (entries.length === 0) return '{}';
  return `{ ${entries.map(([name, item]) => `${JSON.stringify(name)}: ${printFlat(item)}`).join(', ')} }`;
}

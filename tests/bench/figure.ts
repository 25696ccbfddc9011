/** A figure that was measured, and what it may be at most. */
export type Figure = {
  readonly name: string;
  readonly measured: number;
  /** `x`: a ratio. `ms`: a time, printed and never judged. */
  readonly unit: 'x' | 'ms';
  /** The most that is accepted; null where nothing is asked of it. */
  readonly goal: number | null;
  readonly aim: number | null;
  /** Why it is not judged this time; null when it is. */
  readonly unjudged: string | null;
  readonly remark: string;
};

/** The middle one; between the two middle ones of an even number. */
export function median(values: readonly number[]): number {
  return quantile(values, 0.5);
}

/** The value below which this share of them lies. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  const at = (sorted.length - 1) * share;
  const low = sorted[Math.floor(at)] ?? Number.NaN;
  const high = sorted[Math.ceil(at)] ?? Number.NaN;
  return low + (high - low) * (at - Math.floor(at));
}

/** Whether a figure that counts is over its goal. */
export function isMissed({ measured, goal, unjudged }: Figure): boolean {
  return goal !== null && unjudged === null && !(measured <= goal);
}

/** The figures as a table. */
export function printFigures(figures: readonly Figure[]): readonly string[] {
  const rows = figures.map((figure) => {
    const { name, measured, unit, goal, aim, unjudged, remark } = figure;
    const judged =
      goal === null
        ? 'printed'
        : unjudged !== null
          ? `not judged: ${unjudged}`
          : isMissed(figure)
            ? 'MISSED'
            : 'met';
    return [
      name,
      goal === null ? '-' : String(goal),
      aim === null ? '-' : String(aim),
      unit === 'x' ? measured.toFixed(3) : `${measured.toFixed(measured < 10 ? 3 : 0)} ms`,
      judged,
      remark,
    ];
  });
  const table = [['figure', 'goal', 'aim', 'measured', 'judged', ''], ...rows];
  const widths = [0, 1, 2, 3, 4].map((column) => Math.max(...table.map((row) => row[column]?.length ?? 0)));
  return table.map((row) =>
    row
      .map((cell, column) => cell.padEnd(widths[column] ?? 0))
      .join('  ')
      .trimEnd(),
  );
}

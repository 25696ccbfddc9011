/** Something in a flow file that its author has to change (`fault`) or might (`advice`). */
export type Fault = {
  readonly file: string;
  /** Both from 1. */
  readonly line: number;
  readonly column: number;
  readonly problem: string;
  readonly remedy: string;
  readonly severity: 'fault' | 'advice';
};

/** One line, as editors follow it: `flows/x.yaml:11:10 problem: remedy`. */
export function printFault(fault: Fault): string {
  return `${fault.file}:${fault.line}:${fault.column} ${fault.problem}: ${fault.remedy}`;
}

/** By file, then from top to bottom; the same complaint about the same place once. */
export function inOrder(faults: readonly Fault[]): readonly Fault[] {
  const once = new Map(faults.map((fault) => [printFault(fault), fault]));
  return [...once.values()].sort(
    (a, b) =>
      compare(a.file, b.file) || a.line - b.line || a.column - b.column || compare(a.problem, b.problem),
  );
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

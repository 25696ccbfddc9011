import * as fs from 'node:fs';
import { join } from 'node:path';

/**
 * Fills `done/` with so many small files, spread over the months of ten years, as finished jobs lie there. They are
 * small because nothing reads them: what is asked is whether their number costs anything.
 */
export function makePastJobs(folder: string, jobs: number): void {
  const months = Array.from({ length: 120 }, (_, at) => {
    const month = `${2016 + Math.floor(at / 12)}-${String((at % 12) + 1).padStart(2, '0')}`;
    fs.mkdirSync(join(folder, 'done', month), { recursive: true, mode: 0o700 });
    return month;
  });
  const line = Buffer.from('{"v":1,"seq":1}\n');
  for (let job = 0; job < jobs; job++) {
    const month = months[Math.floor((job * months.length) / jobs)] ?? '2016-01';
    fs.writeFileSync(
      join(folder, 'done', month, `OLD-${month.slice(2).replace('-', '')}-${job}.jsonl`),
      line,
    );
  }
}

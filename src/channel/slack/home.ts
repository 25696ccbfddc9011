import type { Board, BoardRow, Wait } from '../../record/board.js';
import type { Line } from '../../talk/post.js';
import { type Block, partMarked, sectionsOf } from './blocks.js';
import type { Ledger } from './ledger.js';
import { cut, LIMITS } from './limits.js';
import { oneRun } from './one-run.js';
import { escaped } from './text.js';
import { type Web, WebFault } from './web.js';

export type HomeView = { readonly type: 'home'; readonly blocks: readonly Block[] };

/** The foreman's board as a home view: what needs somebody first. Times show in the reader's own. */
export function homeView({ rows }: Board, zone: string): HomeView {
  const blocks: Block[] = [];
  for (const row of rows) {
    const drawn = rowBlocks(row, zone);
    if (blocks.length + drawn.length > LIMITS.homeBlocks - 1) {
      blocks.push(...sectionsOf(['More bays than fit here; say LIST in a bay.'], true));
      break;
    }
    blocks.push(...drawn);
  }
  return { type: 'home', blocks: blocks.length > 0 ? blocks : sectionsOf(['No bay in the register.'], true) };
}

const ATTENTION = ['', 'Waits. ', 'LOOK. ', 'STOPPED. '] as const;

function rowBlocks(row: BoardRow, zone: string): readonly Block[] {
  const say = (line: Line | null) => (line ?? []).map((part) => partMarked(part, zone)).join('');
  const title = cut(`${ATTENTION[row.attention]}${row.label}`, LIMITS.headerText);
  const header: Block = { type: 'header', text: { type: 'plain_text', text: title, emoji: false } };
  if (row.job === null)
    return [header, ...sectionsOf([row.why === null ? 'Free.' : say(row.why)], row.why === null)];
  const since = row.since === 0 ? '' : ` Since ${partMarked({ instant: row.since, as: 'time' }, zone)}.`;
  const named = (name: string, lines: readonly Line[]) => lines.map((line) => `${name}: ${say(line)}`);
  const lines = [
    ...(row.why === null ? [] : [say(row.why)]),
    escaped(`${row.job.car}, ${row.job.flow}, ${row.job.id}`),
    `${say(row.step)}${since}`,
    say(row.asked),
    escaped([row.holder ?? '', ...(row.standby === null ? [] : [`standby ${row.standby}`])].join(', ')),
    ...named('Proved', row.proved),
    ...named('Not proved', row.notProved),
    ...named('Lock', row.locks),
    ...named('Open', row.open),
    ...row.waits.map((wait) => clockLine(wait, zone)),
  ].filter((line) => line !== '');
  return [header, ...sectionsOf(lines, false)];
}

/** A wait ends at its instant or later, a deadline at it or earlier: never one in the words of the other. */
function clockLine({ label, until, deadline, firm }: Wait, zone: string): string {
  if (until === null) return escaped(`Waits: ${label}, nobody can say yet until when`);
  const at = partMarked({ instant: until, as: 'day-time' }, zone);
  if (deadline) return `Runs out: ${escaped(label)}, ${firm ? 'at' : 'at the latest'} ${at}`;
  return `Waits: ${escaped(label)}, ${firm ? 'until' : 'not before'} ${at}`;
}

/** The least time between two pictures for one person. */
const COALESCE_MS = 2000;
/** With these nothing is drawn any more. */
const WITHOUT = new Set(['unknown_method', 'not_enabled', 'missing_scope']);

/** Draws the board for everybody who has opened it, whenever its content has changed and not more often. */
export class Home {
  private readonly shown = new Map<string, { content: string; at: number }>();
  private notBefore = 0;
  private without = false;

  constructor(
    private readonly parts: {
      readonly web: Web;
      readonly ledger: Ledger;
      readonly now: () => number;
      readonly board: () => Board;
      readonly zone: () => string;
    },
  ) {}

  /** Somebody looks at it now: it is drawn whether it has changed or not. */
  opened(user: string): void {
    this.shown.delete(user);
    void this.parts.ledger.note({ is: 'home', user });
    void this.run();
  }

  readonly run = oneRun(() => this.all());

  private async all(): Promise<void> {
    const { web, ledger, now, board, zone } = this.parts;
    if (this.without || ledger.homes.size === 0 || now() < this.notBefore) return;
    const view = homeView(board(), zone());
    const content = JSON.stringify(view);
    for (const user of ledger.homes) {
      const before = this.shown.get(user);
      if (before !== undefined && (before.content === content || now() - before.at < COALESCE_MS)) continue;
      try {
        await web.call('views.publish', { user_id: user, view });
        this.shown.set(user, { content, at: now() });
      } catch (error) {
        if (!(error instanceof WebFault)) throw error;
        this.without ||= WITHOUT.has(error.says);
        this.notBefore = now() + Math.max(COALESCE_MS, error.retryMs);
        return;
      }
    }
  }
}

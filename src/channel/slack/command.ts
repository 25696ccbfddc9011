import type { BoardRow } from '../../record/board.js';
import { partMarked } from './blocks.js';
import type { Intake } from './intake.js';
import type { Command } from './payload.js';
import type { Rooms } from './rooms.js';
import { escaped } from './text.js';
import { bayNamed, wantedBy } from './where.js';

export type CommandParts = {
  readonly intake: Pick<Intake, 'words'>;
  readonly rooms: () => Rooms;
  readonly rows: () => readonly BoardRow[];
  readonly zone: () => string;
};

/**
 * The slash command at channel level: starts, shows and lists. Gives the words that only its sender reads. In a thread
 * the platform knows no commands.
 *
 * @throws {NotTaken} when it could not be kept.
 */
export async function answerCommand(parts: CommandParts, command: Command): Promise<string> {
  const { channel_id: channel, user_id: user, trigger_id: trigger } = command;
  const bays = parts.rooms().baysOf(channel);
  const named = bayNamed(command.text ?? '', bays);
  const words = named.words.trim();
  if (/^list\b/i.test(words)) return list(parts, parts.rows());
  if (bays.length === 0) return 'This channel belongs to no bay. Say it in the channel of a bay, or: list';
  const rows = parts
    .rows()
    .filter(({ bay }) => (named.bay === null ? bays.includes(bay) : bay === named.bay));
  if (words === '' || /^(?:show|status|where)\b/i.test(words)) return list(parts, rows);
  const wanted = wantedBy(words);
  if (wanted === 'stop') {
    for (const { bay, job } of rows)
      if (job !== null || rows.length === 1)
        await parts.intake.words({ channel, user, trigger: `${trigger}:${bay}` }, bay, words);
    return 'STOP was taken. The card stands in the thread.';
  }
  const [row] = rows;
  if (wanted === 'start' && row !== undefined) {
    if (rows.length > 1) return `Which bay? For example: ${rows[0]?.bay}: ${escaped(words)}`;
    if (row.job !== null) return `${row.label} has ${row.job.id} under way. Nothing was started.`;
    await parts.intake.words({ channel, user, trigger }, row.bay, words);
    return `Taken for ${row.label}. What follows stands in the channel.`;
  }
  return 'Here: start FLOW CAR [job number], show, list, stop. Everything else is said in the thread of the job.';
}

function list({ zone }: CommandParts, rows: readonly BoardRow[]): string {
  const text = (line: BoardRow['step']) => (line ?? []).map((part) => partMarked(part, zone())).join('');
  return rows
    .map(({ label, job, step, holder, why }) => {
      if (job === null) return `${escaped(label)}: ${why === null ? 'free' : text(why)}`;
      const reason = why === null ? '' : ` ${text(why)}`;
      return `${escaped(`${label}: ${job.car} ${job.flow}, ${job.id}.`)} ${text(step)}, ${escaped(holder ?? '')}.${reason}`;
    })
    .join('\n');
}

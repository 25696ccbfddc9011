/** The platform's own limits, written down apart from the program's table; what breaks them is refused. */

type Text = { readonly type: string; readonly text: string; readonly verbatim?: boolean };
type Element = { readonly text?: Text | string; readonly value?: string; readonly action_id?: string };
type Block = {
  readonly type: string;
  readonly block_id?: string;
  readonly text?: Text;
  readonly elements?: readonly Element[];
};

/** What is wrong with the blocks, in words; none when all is well. */
export function tooMuch(blocks: readonly unknown[], most = 50): string[] {
  const faults: string[] = [];
  if (blocks.length > most) faults.push(`${blocks.length} blocks`);
  const ids = new Set<string>();
  for (const one of blocks) {
    const { type, text, elements = [], block_id } = one as Block;
    if (block_id !== undefined) {
      if (ids.has(block_id) || block_id.length > 255) faults.push(`block_id ${block_id}`);
      ids.add(block_id);
    }
    const length = text?.text.length ?? 0;
    if (type === 'section' && (length < 1 || length > 3000)) faults.push(`section of ${length}`);
    if (type === 'header' && (length < 1 || length > 150 || text?.type !== 'plain_text'))
      faults.push(`header of ${length}`);
    if (text?.type === 'mrkdwn') faults.push(...markup(text));
    if (type === 'actions') faults.push(...actions(elements));
  }
  return faults;
}

function actions(elements: readonly Element[]): string[] {
  const faults: string[] = [];
  if (elements.length < 1 || elements.length > 25) faults.push(`${elements.length} elements`);
  const ids = elements.map(({ action_id }) => action_id);
  if (new Set(ids).size !== ids.length) faults.push('two of one action_id');
  for (const { text, value = '', action_id = '' } of elements) {
    const label = typeof text === 'string' ? text : (text?.text ?? '');
    if (label.length < 1 || label.length > 75) faults.push(`label "${label}"`);
    if (value.length > 2000) faults.push(`value of ${value.length}`);
    if (action_id === '' || action_id.length > 255) faults.push('action_id');
  }
  return faults;
}

/** Whatever stands in angles is a command to the platform: only times and mentions of people are meant. */
function markup({ text, verbatim }: Text): string[] {
  const faults = verbatim === true ? [] : ['not verbatim'];
  const rest = text.replace(/<!date\^\d+\^\{[a-z_]+\}(?: \{[a-z_]+\})?\|[^<>]*>|<@U[A-Z0-9]+>/g, '');
  if (/[<>]/.test(rest)) faults.push(`raw angle in "${rest.slice(0, 80)}"`);
  if (/&(?!amp;|lt;|gt;)/.test(rest)) faults.push(`raw ampersand in "${rest.slice(0, 80)}"`);
  return faults;
}

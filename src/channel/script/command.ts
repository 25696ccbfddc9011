import { parseSpan } from './grammar.js';

/** What a line typed into the terminal asks for. */
export type Command =
  | { readonly do: 'quit' | 'help' }
  | { readonly do: 'as'; readonly who: string }
  | { readonly do: 'thread'; readonly thread: string }
  | { readonly do: 'clock'; readonly ms: number }
  /** `who` is null for whoever speaks at present. */
  | { readonly do: 'speak'; readonly who: string | null; readonly what: Spoken }
  | { readonly do: 'unknown'; readonly problem: string };

export type Spoken =
  | { readonly is: 'text'; readonly text: string }
  | { readonly is: 'tap'; readonly label: string }
  | { readonly is: 'reaction'; readonly name: string }
  | { readonly is: 'photo'; readonly name: string };

/**
 * Reads a line: `/WORD …` for the terminal itself, `PERSON: TEXT` for somebody of the register, anything else is said
 * by whoever speaks at present. Null for an empty line.
 */
export function readCommand(line: string, isPerson: (who: string) => boolean): Command | null {
  const said = line.trim();
  if (said === '') return null;
  if (said.startsWith('/')) return slash(said);
  const [, who = '', text = ''] = /^([^:]+):\s*(\S.*)$/.exec(said) ?? [];
  if (isPerson(who)) return { do: 'speak', who, what: { is: 'text', text } };
  return { do: 'speak', who: null, what: { is: 'text', text: said } };
}

function slash(said: string): Command {
  const [, word = '', rest = ''] = /^\/(\S*)\s*(.*)$/.exec(said) ?? [];
  const needs = (shape: string): Command => ({ do: 'unknown', problem: `Write ${shape}.` });
  switch (word) {
    case 'quit':
    case 'help':
      return { do: word };
    case 'as':
      return rest === '' ? needs('/as and a name') : { do: 'as', who: rest };
    case 'bay':
      return rest === '' ? needs('/bay and its id') : { do: 'thread', thread: rest };
    case 'foreman':
    case 'shop':
      return { do: 'thread', thread: word };
    case 'clock': {
      const ms = parseSpan(rest);
      return ms === null ? needs('/clock +10m, +90s, +2h or +1d') : { do: 'clock', ms };
    }
    case 'tap':
      return rest === '' ? needs('/tap and what stands on the button') : spoken({ is: 'tap', label: rest });
    case 'react':
      return rest === ''
        ? needs('/react and a name, such as thumbsup')
        : spoken({ is: 'reaction', name: rest });
    case 'photo':
      return rest === '' ? needs('/photo and a name for it') : spoken({ is: 'photo', name: rest });
    default:
      return { do: 'unknown', problem: `"/${word}" is not known here; /help lists what is.` };
  }
}

const spoken = (what: Spoken): Command => ({ do: 'speak', who: null, what });

import type { Lexicon } from './lexicon.js';

/** The English words that freeze a job or tell of a danger, and those that only look like it. */
export const DANGER_WORDS: Pick<
  Lexicon,
  'stop' | 'stopFirstOnly' | 'notStop' | 'callers' | 'dangers' | 'harmless' | 'reports'
> = {
  // Two loans that every shop floor knows stand beside the English words.
  stop: ['stop', 'halt', 'stopp', 'emergency', 'mayday', 'may day'],
  stopFirstOnly: ['freeze'],
  notStop: [
    ...['step', 'shop', 'top', 'stow', 'slop', 'swop', 'strop', 'atop', 'sop', 'stomp', 'stops', 'stoup'],
    ...[
      'half',
      'hall',
      'halo',
      'hale',
      'salt',
      'malt',
      'hat',
      'alt',
      'hilt',
      'hart',
      'halts',
      'hal',
      'holt',
      'walt',
    ],
    ...['breeze', 'freezer', 'frieze', 'freezes', 'payday', 'emergence'],
  ],
  callers: ['hey', 'oi', 'please', 'pls', 'warden', 'everybody', 'everyone'],
  dangers: {
    fire: ['fire', 'fier', 'flame', 'flames', 'burning'],
    smoke: ['smoke', 'smok', 'somke', 'smoking', 'smokes'],
    shock: ['shock', 'shocked', 'shcok', 'electrocuted', 'electrocution', 'zapped'],
    hurt: ['hurt', 'injured', 'injury', 'bleeding', 'wounded', 'ambulance'],
    'man-down': ['man down', 'person down', 'unconscious', 'collapsed', 'fainted', 'not breathing'],
    gas: ['gas', 'hissing', 'hiss', 'fumes', 'venting'],
  },
  harmless: [
    ...['fire service', 'fire brigade card', 'fire extinguisher', 'fire blanket', 'fire door', 'fire exit'],
    ...[
      'fire up',
      'fire it up',
      'fire wall',
      'fire alarm test',
      'smoke test',
      'smoke machine',
      'smoke break',
    ],
    ...['smoke detector', 'smoking break', 'smoking area', 'shock absorber', 'shock absorbers', 'shock load'],
    ...['shock proof', 'shock mount', 'gas strut', 'gas struts', 'gas spring', 'gas springs', 'gas meter'],
    ...['gas bottle', 'gas tight', 'gas cylinder', 'gas detector', 'glove hurt', 'gloves hurt'],
    ...['first aid', 'hiss or smoke', 'smell hiss'],
  ],
  reports: [
    ...['there is', 'theres', 'there are', 'got', 'gets', 'help', 'caught', 'coming', 'somebody', 'someone'],
    ...['he is', 'hes', 'she is', 'shes', 'i am', 'im', 'see', 'smell', 'on fire', 'badly', 'call'],
  ],
};

/** Light, dark, or as the machine has it; kept on this machine only. */
export const LOOKS = ['auto', 'light', 'dark'] as const;
export type Look = (typeof LOOKS)[number];

const NAME = 'floor-look';

export function keptLook(): Look {
  try {
    const kept = localStorage.getItem(NAME);
    return LOOKS.find((look) => look === kept) ?? 'auto';
  } catch {
    return 'auto';
  }
}

export function putLook(look: Look): void {
  document.documentElement.dataset.look = look;
  try {
    localStorage.setItem(NAME, look);
  } catch {
    // It holds until the page is closed.
  }
}

export function nextLook(look: Look): Look {
  return LOOKS[(LOOKS.indexOf(look) + 1) % LOOKS.length] ?? 'auto';
}

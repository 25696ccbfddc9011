import type { Picture } from '../../../record/picture.js';
import type { Tab } from './tab.js';

/** Fetches the pictures of a bay; those that are shown stay until the new ones are there. */
export async function fetchPictures(tab: Tab, bay: string): Promise<void> {
  const { pictures } = tab.ui();
  if (pictures.is !== 'there' || pictures.bay !== bay) tab.put({ pictures: { is: 'loading', bay } });
  try {
    const answer = await fetch(`/pictures/${encodeURIComponent(bay)}`);
    if (!answer.ok) throw new Error(String(answer.status));
    const { pictures } = (await answer.json()) as { pictures: readonly Picture[] };
    tab.put({ pictures: { is: 'there', bay, pictures } });
  } catch {
    tab.put({ pictures: { is: 'failed', bay } });
  }
}

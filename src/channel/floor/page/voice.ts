/** What is about to be read out, by urgency; two things that come together are read out together. */
const waiting: Record<'calm' | 'urgent', string[]> = { calm: [], urgent: [] };

/**
 * What a screen reader is told: new questions when it is quiet, cards at once. Never a countdown, and never the same
 * words twice by redrawing.
 */
export function speak(words: string, how: 'calm' | 'urgent'): void {
  const region = document.getElementById(`${how}-voice`);
  if (region === null || words === '') return;
  waiting[how].push(words);
  if (waiting[how].length > 1) return;
  region.textContent = '';
  // A region that is emptied and filled in one turn is read as unchanged.
  setTimeout(() => {
    region.textContent = waiting[how].splice(0).join(' ');
  }, 80);
}

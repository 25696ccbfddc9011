/**
 * What a screen reader is told: new questions when it is quiet, cards at once. Never a countdown, and never the same
 * words twice in a row by redrawing.
 */
export function speak(words: string, urgent: boolean): void {
  const region = document.getElementById(urgent ? 'urgent-voice' : 'calm-voice');
  if (region === null || words === '') return;
  region.textContent = '';
  // A region that is emptied and filled in one turn is read as unchanged.
  setTimeout(() => {
    region.textContent = words;
  }, 60);
}

/** Work that is never done twice at once: whoever asks for it while it is under way waits for that. */
export function oneRun(work: () => Promise<void>): () => Promise<void> {
  let running: Promise<void> | null = null;
  return () => {
    running ??= work().finally(() => {
      running = null;
    });
    return running;
  };
}

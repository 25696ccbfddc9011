/** Waiting that keeps no program alive. */
export function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms).unref());
}

/** Settles when the work has, however it ended, and after this time at the latest. */
export async function atMost(ms: number, work: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, ms);
  });
  await Promise.race([work.catch(() => undefined), late]);
  clearTimeout(timer);
}

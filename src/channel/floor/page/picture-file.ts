/** What the server takes at most, with some room. */
const MOST_BYTES = 7_500_000;
const LONGEST_SIDE = 3_000;

/**
 * A photo as it is sent: untouched where it fits, else made smaller. The original is better evidence, so it is only
 * made smaller when it has to be.
 */
export async function fitting(file: File): Promise<Blob> {
  if (file.size <= MOST_BYTES && /^image\/(?:jpeg|png|webp)$/.test(file.type)) return file;
  const bitmap = await createImageBitmap(file);
  const by = Math.min(1, LONGEST_SIDE / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(bitmap.width * by);
  canvas.height = Math.round(bitmap.height * by);
  canvas.getContext('2d')?.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  return new Promise((resolve, reject) => {
    canvas.toBlob(
      (blob) => (blob === null ? reject(new Error('no picture')) : resolve(blob)),
      'image/jpeg',
      0.88,
    );
  });
}

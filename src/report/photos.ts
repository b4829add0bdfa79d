// Photos for the HTML report, embedded as data URIs. The caller reads the files; what is too large or no photo is left out and named.

/** A photo, already read. `name` is shown under it. */
export interface Photo {
  readonly name: string;
  readonly mime: string;
  readonly base64: string;
}

export interface ShownPhoto {
  readonly name: string;
  readonly uri: string;
}

/** Bytes of one photo and of all together, and their number: a report is mailed and printed. */
export const PHOTO_LIMITS = { bytes: 3_000_000, allBytes: 12_000_000, photos: 12 } as const;

/** Formats that every browser shows and that can carry no script. */
const FORMATS = new Set(['image/jpeg', 'image/png', 'image/webp', 'image/gif']);
const BASE64 = /^[A-Za-z0-9+/]+={0,2}$/;

/** Photos that go into the report, and a sentence for each that does not. */
export function photosFor(
  photos: readonly Photo[],
  typed: (text: string) => string,
): { readonly shown: readonly ShownPhoto[]; readonly refused: readonly string[] } {
  const shown: ShownPhoto[] = [];
  const refused: string[] = [];
  let all = 0;
  for (const photo of photos) {
    const name = typed(photo.name) || 'photo without a name';
    const bytes = Math.floor((photo.base64.length * 3) / 4);
    const why = whyNot(photo, bytes, all, shown.length);
    if (why !== '') {
      refused.push(`${name}: left out, ${why}.`);
      continue;
    }
    all += bytes;
    shown.push({ name, uri: `data:${photo.mime};base64,${photo.base64}` });
  }
  return { shown, refused };
}

function whyNot(photo: Photo, bytes: number, all: number, count: number): string {
  const mega = (n: number) => `${n / 1_000_000} MB`;
  if (!FORMATS.has(photo.mime)) return 'not a JPEG, PNG, WebP or GIF picture';
  if (photo.base64.length === 0 || photo.base64.length % 4 !== 0 || !BASE64.test(photo.base64))
    return 'it could not be read';
  if (bytes > PHOTO_LIMITS.bytes) return `larger than ${mega(PHOTO_LIMITS.bytes)}`;
  if (all + bytes > PHOTO_LIMITS.allBytes)
    return `all photos together may have ${mega(PHOTO_LIMITS.allBytes)}`;
  return count >= PHOTO_LIMITS.photos ? `a report holds ${PHOTO_LIMITS.photos} photos` : '';
}

// Photos for a report: picture files are read here, told by what is in them and not by their name.
import { readFileSync, statSync } from 'node:fs';
import { basename } from 'node:path';
import { PHOTO_LIMITS, type Photo } from '../report/index.ts';
import { InputError } from './problem.ts';

/**
 * First bytes of the formats that every browser shows: JPEG (ISO/IEC 10918-1, start-of-image marker), PNG (W3C, PNG specification,
 * file signature), GIF (GIF89a specification, 1990) and WebP (RFC 9649).
 */
const SIGNATURES: readonly (readonly [mime: string, pattern: RegExp])[] = [
  ['image/jpeg', /^\xff\xd8\xff/],
  ['image/png', /^\x89PNG\r\n\x1a\n/],
  ['image/gif', /^GIF8[79]a/],
  ['image/webp', /^RIFF[\s\S]{4}WEBP/],
];
const MEGA = 1_000_000;

/** Reads the files. Throws InputError with the file's name for one that is missing, too large or no such picture, and for too many. */
export function readPhotos(paths: readonly string[]): readonly Photo[] {
  if (paths.length > PHOTO_LIMITS.photos)
    throw new InputError(`A report holds ${PHOTO_LIMITS.photos} photos, not ${paths.length}.`);
  const photos = paths.map(readPhoto);
  const bytes = photos.reduce((all, photo) => all + (photo.base64.length * 3) / 4, 0);
  if (bytes > PHOTO_LIMITS.allBytes)
    throw new InputError(
      `The photos have ${(bytes / MEGA).toFixed(1)} MB together; a report holds ${PHOTO_LIMITS.allBytes / MEGA} MB. Make them smaller or leave some out.`,
    );
  return photos;
}

function readPhoto(path: string): Photo {
  const content = read(path);
  const head = content.subarray(0, 16).toString('latin1');
  const mime = SIGNATURES.find(([, pattern]) => pattern.test(head))?.[0];
  if (!mime)
    throw new InputError(
      `${path} is not a JPEG, PNG, WebP or GIF picture. A picture of another kind must be saved as one of these first.`,
    );
  return { name: basename(path), mime, base64: content.toString('base64') };
}

function read(path: string): Buffer {
  try {
    const { size } = statSync(path);
    if (size > PHOTO_LIMITS.bytes)
      throw new InputError(
        `${path} has ${(size / MEGA).toFixed(1)} MB; a photo may have ${PHOTO_LIMITS.bytes / MEGA} MB. Make it smaller first.`,
      );
    return readFileSync(path);
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new InputError(
      `Cannot read the photo ${path}: ${error instanceof Error ? error.message : String(error)}`,
    );
  }
}

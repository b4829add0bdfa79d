// What bundling Ink takes, for the program and for the bare program that it is measured against.
import { readFile } from 'node:fs/promises';

/** Ink loads the React developer tools, and a web socket with them, only in development; a bundle must not carry them, nor fail without. */
export const noDeveloperTools = {
  name: 'no-developer-tools',
  setup(build) {
    build.onResolve({ filter: /^(react-devtools-core|\.\/devtools\.js)$/ }, () => ({
      path: 'stub',
      namespace: 'stub',
    }));
    build.onLoad({ filter: /.*/, namespace: 'stub' }, () => ({ contents: 'export default {};' }));
  },
};

const SLOW = 'const rgiEmojiRegex = /^\\p{RGI_Emoji}$/v;';
const ON_DEMAND = `const rgiEmojiRegex = {
  test: (segment) => /\\p{Emoji}/u.test(segment) && /^\\p{RGI_Emoji}$/v.test(segment),
};`;

/**
 * Compiling the set of all emoji takes longer than the rest of the first frame, and the first line drawn with a dash would ask for it.
 * Every emoji of that set has a character with the property Emoji, which is asked first: the widths stay the same.
 */
export const emojiOnDemand = {
  name: 'emoji-on-demand',
  setup(build) {
    build.onLoad({ filter: /node_modules\/string-width\/index\.js$/ }, async ({ path }) => {
      const text = await readFile(path, 'utf8');
      if (text.includes('RGI_Emoji') && !text.includes(SLOW) && !path.includes('wrap-ansi'))
        throw new Error(`${path} has changed: see how it asks for emoji`);
      return { contents: text.replace(SLOW, ON_DEMAND), loader: 'js' };
    });
  },
};

/** Node 20 knows sets in regular expressions; esbuild would otherwise have each compiled while the program loads. */
export const REGEXP_SETS = { 'regexp-set-notation': true, 'regexp-unicode-property-escapes': true };

// Text from outside, made fit for a terminal; and which characters have no place in a file that people write by hand.

/** Control characters, and the marks that reverse or hide text on a terminal. */
const CONTROLS = /[\u0000-\u001f\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]/g;

/** Text fit for a terminal: breaks and tabs become blanks, other control characters and direction marks vanish. */
export function cleanText(text: string): string {
  return text
    .replace(/[\t\n\r\u2028\u2029]+/g, ' ')
    .replace(CONTROLS, '')
    .replace(/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, '');
}

/** What steers a terminal or turns the direction of text; breaks, tabs and joiners may stand in a rule text. */
const STEERING =
  /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/;

/** The first such character as `U+001B`, or undefined. */
export function steeringCharacter(text: string): string | undefined {
  const found = STEERING.exec(text)?.[0];
  return found && `U+${found.charCodeAt(0).toString(16).toUpperCase().padStart(4, '0')}`;
}

// The little of jsdom that these tests use; its own types would bring the browser's globals into every file of the project.
declare module 'jsdom' {
  export class JSDOM {
    constructor(html: string, options?: { readonly runScripts?: 'outside-only' });
    readonly window: {
      eval(script: string): unknown;
      readonly document: { querySelectorAll(selector: string): Iterable<{ readonly textContent: string }> };
      close(): void;
    };
  }
}

// What bundling Ink takes, for the program and for the bare program that it is measured against.

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

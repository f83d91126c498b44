// How packages come into the builds: as modules, so that only what is used is loaded. Every command begins with loading.
import { join } from 'node:path';

const inPackages = (path) => join(import.meta.dirname, 'node_modules', path);

/** Their first choice for Node is one file of CommonJS, of which nothing can be left out. */
export const alias = [
  { find: /^yaml$/, replacement: inPackages('yaml/browser/index.js') },
  { find: /^ml-matrix$/, replacement: inPackages('ml-matrix/src/index.js') },
];

/** What stdlib asks for and nobody here needs, and what it gets instead. */
const replaced = new Map([
  // Asks by `eval`, which the page does not allow.
  ['@stdlib/assert-has-generator-support', 'export default () => true;'],
  // Notes for those who develop stdlib; loads node:tty, and that node:net.
  ['debug', 'export default () => () => {};'],
]);
const mark = '\0replaced:';

/**
 * stdlib is hundreds of small CommonJS modules, all alike: `require` at the top, one value assigned to `module.exports`.
 *
 * @throws Error for a module of another form, and where nothing is there any more to be replaced
 */
export const packages = () => {
  const unused = new Set(replaced.keys());
  return {
    name: 'packages',
    enforce: 'pre',
    resolveId(id) {
      if (!replaced.has(id)) return undefined;
      unused.delete(id);
      return mark + id;
    },
    load: (id) => (id.startsWith(mark) ? replaced.get(id.slice(mark.length)) : undefined),
    transform: {
      filter: { id: /\/node_modules\/(@stdlib|clipper2-ts)\/.*\.js$/ },
      handler: (code, id) =>
        id.includes('/clipper2-ts/') ? { code, moduleSideEffects: false } : asModule(code, id),
    },
    buildEnd(error) {
      if (error === undefined && unused.size > 0) throw new Error(`not loaded any more: ${[...unused]}`);
    },
  };
};

const asModule = (source, id) => {
  const code = source
    .replace(/^var (\w+) = require\( '([^']+)' \);/gm, "import $1 from '$2';")
    .replace(/^var (\w+) = require\( '([^']+)' \)\.(\w+);/gm, "import $1Of from '$2';\nvar $1 = $1Of.$3;")
    .replace(/^module\.exports = (\w+);/gm, 'export default $1;')
    // The functions that make functions for fixed parameters.
    .replace(/^setReadOnly\( main, 'factory', factory \);$/gm, '');
  const uncommented = code.replace(/\/\*[\s\S]*?\*\//g, '').replace(/\/\/.*$/gm, '');
  if (/\brequire\(|\bmodule\.exports\b/.test(uncommented)) throw new Error(`${id}: a module of another form`);
  return { code, moduleType: 'js', map: null };
};

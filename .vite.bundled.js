// What is shipped of others: their notices (notices.md) and a bill of materials (bom.json, CycloneDX), with our own licence.
// Each build adds the packages that it bundled.
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { ComponentType } from '@cyclonedx/cyclonedx-library/Enums';
import { Bom, Component, LicenseExpression } from '@cyclonedx/cyclonedx-library/Models';
import { JSON as Json, JsonSerializer } from '@cyclonedx/cyclonedx-library/Serialize';
import { Spec1dot6 } from '@cyclonedx/cyclonedx-library/Spec';
import { PackageURL } from 'packageurl-js';

const root = import.meta.dirname;
const require = createRequire(import.meta.url);
const dist = join(root, 'dist');

/** Where vite writes the packages of one build: [{name, version, identifier, text}]. */
export const license = { fileName: 'bundled-now.json' };

/** The packages of the builds before this one; the first build empties dist, and with it begins a new list. */
const kept = join(root, 'node_modules/.cache/reseat-bundled.json');

export const bundled = {
  name: 'bundled',
  closeBundle() {
    const now = read(join(dist, license.fileName));
    const before = existsSync(join(dist, 'bom.json')) ? read(kept) : [];
    const all = new Map([...before, ...now].map((p) => [`${p.name} ${p.version}`, p]));
    const packages = [...all.values()].sort((a, b) => (a.name < b.name ? -1 : 1));
    rmSync(join(dist, license.fileName));
    mkdirSync(dirname(kept), { recursive: true });
    writeFileSync(kept, JSON.stringify(packages));
    write('notices.md', noticesOf(packages));
    write('bom.json', bomOf(packages));
    write('LICENSE', spdxText(ours.license, 'Copyright (c) 2026 the contributors to reseat'));
  },
};

const read = (file) => JSON.parse(readFileSync(file, 'utf8'));

const ours = read(join(root, 'package.json'));

const write = (name, text) => writeFileSync(join(dist, name), text);

/** Each licence's text once, under the packages that bear it. */
const noticesOf = (packages) => {
  const byText = new Map();
  for (const { name, version, identifier, text = textOf(name, identifier) } of packages) {
    const bearers = byText.get(text) ?? [];
    bearers.push(`- ${name} ${version} (${identifier})`);
    byText.set(text, bearers);
  }
  const parts = [...byText].map(
    ([text, bearers]) => `${bearers.join('\n')}\n\n\`\`\`\n${text.trim()}\n\`\`\`\n`,
  );
  return `# Notices\n\nreseat contains the following packages, under their licences.\n\n${parts.join('\n')}`;
};

/** For a package that holds no text of the licence it states: the text of the SPDX list, with its author. */
const textOf = (name, identifier) => {
  const { author } = read(join(root, `node_modules/${name}/package.json`));
  const holder = typeof author === 'string' ? author : author?.name;
  if (holder === undefined) throw new Error(`${name} is bundled and names no author`);
  return spdxText(identifier, `Copyright (c) ${holder}`);
};

/** With our own line of copyright in place of the list's. */
const spdxText = (identifier, copyright) => {
  const { licenseText } = require(`spdx-license-list/licenses/${identifier}.json`);
  return licenseText.replace(/^Copyright \(c\).*(\nCopyright \(c\).*)*/m, copyright);
};

const bomOf = (packages) => {
  const bom = new Bom();
  const component = (type, { name, version, identifier }) => {
    const [, group, bare] = /^(?:(@[^/]+)\/)?(.+)$/.exec(name);
    const made = new Component(type, bare, {
      ...(group ? { group } : {}),
      version,
      bomRef: `${name}@${version}`,
      purl: new PackageURL('npm', group, bare, version).toString(),
    });
    if (identifier) made.licenses.add(new LicenseExpression(identifier));
    return made;
  };
  const { name, version, license: identifier, dependencies } = ours;
  const whole = component(ComponentType.Library, { name, version, identifier });
  bom.metadata.component = whole;
  // sharp is installed beside the package; the version is the one it was tested with.
  const beside = Object.keys(dependencies).map((of) => {
    const installed = read(join(root, `node_modules/${of}/package.json`));
    return { name: of, version: installed.version, identifier: installed.license };
  });
  for (const part of [...packages, ...beside]) {
    const made = component(ComponentType.Library, part);
    bom.components.add(made);
    whole.dependencies.add(made.bomRef);
  }
  const serializer = new JsonSerializer(new Json.Normalize.Factory(Spec1dot6));
  return `${serializer.serialize(bom, { sortLists: true, space: 1 })}\n`;
};

// JSON Schemas, into dist/schemas: of each --json object from the types of the reports, of job and profile as src/job/schema.ts has them.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { rolldown } from 'rolldown';
import { createGenerator } from 'ts-json-schema-generator';

/** The type of each command's object. */
const outputs = {
  list: 'ListJson',
  plan: 'PlanJson',
  fit: 'FitJson',
  check: 'CheckJson',
  cut: 'CutJson',
  scan: 'ScanJson',
  inspect: 'InspectJson',
  pieces: 'PiecesJson',
  calibrate: 'CalibrationJson',
  drift: 'DriftJson',
};

const schemaVersion = /schemaVersion = '([^']+)'/.exec(
  readFileSync('src/report/json/schema-version.ts', 'utf8'),
)[1];

const generator = createGenerator({
  path: 'src/report/**/*.ts',
  tsconfig: 'tsconfig.json',
  skipTypeCheck: true,
  type: '*',
});

mkdirSync('dist/schemas', { recursive: true });
for (const [command, type] of Object.entries(outputs)) {
  const schema = generator.createSchema(type);
  // The command line puts the version before what the report says.
  const object = schema.definitions[type];
  object.properties = { schemaVersion: { const: schemaVersion }, ...object.properties };
  object.required = ['schemaVersion', ...(object.required ?? [])];
  const title = `reseat ${command === 'drift' ? 'calibrate drift' : command} --json`;
  writeFileSync(
    `dist/schemas/${command}.schema.json`,
    `${JSON.stringify({ $schema: schema.$schema, title, ...schema }, null, 2)}\n`,
  );
}

const bundle = await rolldown({ input: 'src/job/schema.ts' });
const { output } = await bundle.generate({ format: 'esm' });
const url = `data:text/javascript;base64,${Buffer.from(output[0].code).toString('base64')}`;
const { jobSchema, profileSchema } = await import(url);
for (const [name, schema] of Object.entries({ job: jobSchema, profile: profileSchema })) {
  writeFileSync(`dist/schemas/${name}.schema.json`, `${JSON.stringify(schema, null, 2)}\n`);
}

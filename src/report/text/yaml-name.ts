/** A name as it stands in a job file: in quotes where YAML would read something else. */
export const yamlName = (name: string): string =>
  /^[\p{L}_][\p{L}\d_.-]*$/u.test(name) && !/^(true|false|null|y|n|yes|no|on|off)$/i.test(name)
    ? name
    : JSON.stringify(name);

// What the browser's modules and styles use that a browser of a given version lacks, by MDN's
// browser-compat-data. Interfaces are told by their types, so that `find` of an array and `find` of
// something else are two things.
//
// Arguments: a JSON object with `packages` (the folders of typescript, css-tree and
// browser-compat-data), `config` (of TypeScript), `styles`, `more` (other modules to look through)
// and `oldest` (versions by browser). Prints a JSON object: by what is lacking, where it is used.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";

const { packages, config, styles, more, oldest } = JSON.parse(process.argv[2]);
const require = createRequire(import.meta.url);
const [ts, csstree, data] = packages.map((folder) => require(folder));
const { api, css, javascript } = data;
/** @type {Record<string, string[]>} */
const lacking = {};

function note(name, feature, place) {
  if (!feature?.__compat) return;
  const without = Object.keys(oldest).filter((browser) => lacks(feature.__compat.support[browser], oldest[browser]));
  if (without.length) (lacking[name] ??= []).push(`${place} (${without.join(", ")})`);
}

/** Whether a version lacks what is supported so; a list has the newest support first. */
function lacks(support, version) {
  const all = [support].flat().filter(Boolean);
  const usable = all.find((one) => one.version_added && !one.flags && !one.prefix && !one.alternative_name && !one.version_removed);
  return !usable || usable.version_added === "preview" || isLater(usable.version_added, version);
}

function isLater(one, other) {
  const [a, b] = [one, other].map((version) => String(version).replace("≤", "").split(".").map(Number));
  return (a[0] - b[0] || (a[1] ?? 0) - (b[1] ?? 0)) > 0;
}

function lookThroughModules() {
  const { fileNames, options } = ts.getParsedCommandLineOfConfigFile(config, {}, { ...ts.sys, onUnRecoverableConfigFileDiagnostic() {} });
  const program = ts.createProgram([...fileNames, ...more], options);
  const checker = program.getTypeChecker();
  const isBuiltIn = (symbol) => symbol?.declarations?.some((one) => program.isSourceFileDefaultLibrary(one.getSourceFile()));
  /** A type's names and those of the types it extends. */
  const namesOf = (type) => {
    if (type.isUnionOrIntersection()) return type.types.flatMap(namesOf);
    const whole = checker.getApparentType(type);
    return [whole.symbol?.name ?? "", ...(whole.isClassOrInterface() ? checker.getBaseTypes(whole) : []).flatMap(namesOf)];
  };
  const memberOf = (owner, name) => {
    const plain = owner.replace(/^Readonly(?=Array|Map|Set)|Constructor$/, "");
    const found = api[plain] ?? javascript.builtins[plain] ?? javascript.builtins.Intl[plain];
    return found?.[name] ?? found?.[`${name}_static`];
  };
  const visit = (node, file) => {
    const place = () => `${path.basename(file.fileName)}:${file.getLineAndCharacterOfPosition(node.getStart()).line + 1}`;
    if (ts.isPropertyAccessExpression(node) && isBuiltIn(checker.getSymbolAtLocation(node.name))) {
      const name = node.name.text;
      const owners = [checker.getSymbolAtLocation(node.name).parent?.name ?? "", ...namesOf(checker.getTypeAtLocation(node.expression))];
      const owner = owners.find((one) => memberOf(one, name));
      if (owner) note(`${owner}.${name}`, memberOf(owner, name), place());
    } else if (ts.isIdentifier(node) && !ts.isPropertyAccessExpression(node.parent) && isBuiltIn(checker.getSymbolAtLocation(node))) {
      const name = node.text;
      note(name, api[name] ?? javascript.builtins[name] ?? api.Window[name], place());
    } else if (ts.isRegularExpressionLiteral(node)) {
      const { lookbehind_assertion, unicode_character_class_escape } = javascript.regular_expressions;
      if (/\(\?<[=!]/.test(node.text)) note("lookbehind", lookbehind_assertion, place());
      if (/\\[pP]\{/.test(node.text)) note("\\p{…}", unicode_character_class_escape, place());
      if (/v\w*$/.test(node.text.split("/").pop())) note("the flag v", javascript.builtins.RegExp.unicodeSets, place());
    }
    ts.forEachChild(node, (child) => visit(child, file));
  };
  const ours = new Set([...fileNames, ...more]);
  for (const file of program.getSourceFiles()) if (ours.has(file.fileName)) visit(file, file);
}

function lookThroughStyle(file) {
  const tree = csstree.parse(readFileSync(file, "utf8"), { positions: true });
  csstree.walk(tree, function (node) {
    const place = `${path.basename(file)}:${node.loc?.start.line}`;
    if (node.type === "Declaration") {
      const property = css.properties[node.property];
      note(node.property, property, place);
      csstree.walk(node.value, (part) => {
        if (part.type === "Identifier") note(`${node.property}: ${part.name}`, property?.[part.name], place);
        else if (part.type === "Function") note(`${part.name}()`, property?.[part.name] ?? css.types.color?.[part.name] ?? css.types[part.name], place);
        else if (part.type === "Dimension" && /^[dsl]v/.test(part.unit)) note(part.unit, css.types.length.viewport_percentage_units_dynamic, place);
      });
    } else if (/^Pseudo/.test(node.type)) note(`:${node.name}`, css.selectors[node.name], place);
    else if (node.type === "NestingSelector") note("&", css.selectors.nesting, place);
    else if (node.type === "Atrule") note(`@${node.name}`, css["at-rules"][node.name], place);
    else if (node.type === "Feature") note(`@${this.atrule.name} ${node.name}`, css["at-rules"][this.atrule.name][node.name], place);
    else if (node.type === "FeatureRange") note("@media width < …", css["at-rules"].media.range_syntax, place);
  });
}

lookThroughModules();
for (const file of styles) lookThroughStyle(file);
console.log(JSON.stringify(lacking));

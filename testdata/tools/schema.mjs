// Validates JSON files against a schema: node schema.mjs SCHEMA FILE...
import Ajv from "ajv";
import { readFileSync } from "node:fs";

const read = (name) => JSON.parse(readFileSync(name, "utf8"));
const [schema, ...files] = process.argv.slice(2);
const validate = new Ajv({ strict: true, allowUnionTypes: true, allErrors: true }).compile(read(schema));
for (const file of files) {
  if (!validate(read(file))) {
    console.log(file, validate.errors.slice(0, 20));
    process.exitCode = 1;
  }
}

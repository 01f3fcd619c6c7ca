/** The description of the wire (openApi.ts) as rows for a page, and the example clients beside it. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { ApiBody, ApiCall, ApiField, ApiPage } from "../../model/apiCall.ts";
import { rootFolder } from "../settings.ts";
import { openApi } from "./openApi.ts";
import { WIRE_ROUTES, type WireRoute } from "./routes.ts";

/** As much of a JSON schema as the description uses. */
interface Schema {
  readonly $ref?: string;
  readonly type?: string;
  readonly description?: string;
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly required?: readonly string[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly items?: Schema;
  readonly oneOf?: readonly Schema[];
}
interface Content { readonly content?: Readonly<Record<string, { readonly schema: Schema }>> }
interface Operation {
  readonly summary: string;
  readonly parameters: readonly { readonly name: string; readonly in: string; readonly description?: string; readonly schema: Schema }[];
  readonly requestBody?: Content;
  readonly responses: Readonly<Record<string, Content & { readonly description: string }>>;
}
interface Description {
  readonly info: { readonly description: string };
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: { readonly schemas: Readonly<Record<string, Schema>> };
}

const WHO: Readonly<Record<WireRoute["who"], string>> = { open: "anybody", device: "any token that counts", run: "a token for all of a run’s devices" };

function typeWords({ type, enum: values, const: only, items }: Schema): string {
  if (only !== undefined) return JSON.stringify(only);
  if (values !== undefined) return `one of ${values.map((value) => JSON.stringify(value)).join(", ")}`;
  if (type === "array") return `list of ${items === undefined || items.type === undefined ? "values" : `${typeWords(items)}s`}`;
  return type ?? "JSON";
}

/** Keys of an object, those of objects inside a list after it. */
function fieldsOf(schema: Schema, prefix = ""): ApiField[] {
  return Object.entries(schema.properties ?? {}).flatMap(([key, each]) => [
    { name: `${prefix}${key}`, type: typeWords(each), isRequired: schema.required?.includes(key) ?? false, about: each.description ?? "" },
    ...(each.items?.properties === undefined ? [] : fieldsOf(each.items, `${prefix}${key}[].`)),
  ]);
}

function bodyOf([type, { schema }]: readonly [string, { readonly schema: Schema }]): ApiBody {
  const shapes = schema.oneOf ?? (schema.properties === undefined ? [] : [schema]);
  const about = schema.type === "array" ? "A list of rows; keys are the columns of the CSV file in camelCase." : schema.type === "string" ? "The bytes themselves." : "";
  return { type, about, shapes: shapes.map((shape) => ({ name: JSON.stringify(shape.properties?.["kind"]?.const ?? ""), fields: fieldsOf(shape) })) };
}

/** One entry a call of the table of routes, in its order. */
export function apiCalls(): ApiCall[] {
  const { paths, components } = openApi(WIRE_ROUTES) as Description;
  const resolved = (schema: Schema | undefined): Schema => (schema?.$ref === undefined ? schema ?? {} : components.schemas[schema.$ref.split("/").at(-1) ?? ""] ?? {});
  return WIRE_ROUTES.map(({ method, path, who }) => {
    const operation = paths[path]?.[method.toLowerCase()];
    if (operation === undefined) throw new TypeError(`${method} ${path} is not described`);
    const { summary, parameters, requestBody, responses } = operation;
    return {
      method, path, about: summary, who: WHO[who], bodies: Object.entries(requestBody?.content ?? {}).map(bodyOf),
      query: parameters.filter((parameter) => parameter.in === "query").map(({ name, description, schema }) => ({ name, type: typeWords(schema), isRequired: false, about: description ?? "" })),
      answers: Object.entries(responses).map(([status, { description, content }]) => ({ status, about: description, fields: fieldsOf(resolved(Object.values(content ?? {})[0]?.schema)) })),
    };
  });
}

const CLIENTS = ["stream.mjs", "stream.py"] as const;

export function apiPage(): ApiPage {
  const { info } = openApi(WIRE_ROUTES) as Description, folder = join(rootFolder(), "docs", "clients");
  return { about: info.description, calls: apiCalls(), clients: CLIENTS.map((name) => ({ name: `docs/clients/${name}`, text: readFileSync(join(folder, name), "utf8") })) };
}

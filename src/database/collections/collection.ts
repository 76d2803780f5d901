import type { Collection, New, PageOf, PageRequest } from "../../application/ports.ts";
import { decodeRow, encodeFields, isInstantField, isPlainDateField } from "../row.ts";

type Row = Record<string, unknown>;

/** What the collections use of a Prisma model; every model's delegate has these. */
export interface Delegate {
  findFirst(args: Row): Promise<object | null>;
  findMany(args: Row): Promise<object[]>;
  create(args: Row): Promise<object>;
  updateMany(args: Row): Promise<{ count: number }>;
  deleteMany(args: Row): Promise<{ count: number }>;
}

export interface CollectionPlan<T, Filter> {
  /** The column that lists are ordered by, newest first; ties are broken by id. */
  order: string;
  json?: readonly string[];
  include?: Row;
  where(filter: Filter): Row;
  /** From a decoded row to the record, and back, where the two differ. */
  read?(row: Row): T;
  write?(fields: Partial<T>): Row;
}

/** A resource on a Prisma model, within the transaction's account. */
export function collectionOn<T extends { id: string; version: number }, Filter>(
  model: Delegate,
  accountId: string,
  plan: CollectionPlan<T, Filter>,
): Collection<T, Filter> {
  const include = plan.include ? { include: plan.include } : {};
  const read = (row: object): T => {
    const decoded = decodeRow<Row>(row);
    return plan.read ? plan.read(decoded) : (decoded as T);
  };
  const write = (fields: Partial<T>): Row =>
    encodeFields(plan.write ? plan.write(fields) : fields, plan.json ?? []);
  const find = async (id: string): Promise<T | null> => {
    const row = await model.findFirst({ where: { accountId, id }, ...include });
    return row ? read(row) : null;
  };
  return {
    find,
    async list(filter, page) {
      const rows = await model.findMany({
        where: { AND: [{ accountId }, plan.where(filter), beyond(plan.order, page)] },
        orderBy: [{ [plan.order]: "desc" }, { id: "desc" }],
        take: page.limit + 1,
        ...include,
      });
      return pageOf(rows.map(read), plan.order, page.limit);
    },
    async insert(row: New<T>) {
      await model.create({
        data: { ...write(row as unknown as Partial<T>), accountId, version: 1 },
      });
      return (await find((row as unknown as T).id)) as T;
    },
    async update(id, version, fields) {
      const { count } = await model.updateMany({
        where: { accountId, id, version },
        data: { ...write(fields as unknown as Partial<T>), version: { increment: 1 } },
      });
      return count === 1 ? find(id) : null;
    },
    async remove(id, version) {
      return (await model.deleteMany({ where: { accountId, id, version } })).count === 1;
    },
  };
}

/** The keyset condition: rows after the last one that was shown, newest first. */
function beyond(order: string, { after }: PageRequest): Row {
  if (!after) return {};
  const key = keyValue(order, after.key);
  return { OR: [{ [order]: { lt: key } }, { [order]: key, id: { lt: after.id } }] };
}

function keyValue(order: string, key: string | number): unknown {
  if (isInstantField(order)) return new Date(Number(key));
  return isPlainDateField(order) ? new Date(`${String(key)}T00:00:00Z`) : key;
}

function pageOf<T extends { id: string }>(rows: T[], order: string, limit: number): PageOf<T> {
  const items = rows.slice(0, limit);
  const last = items.at(-1);
  if (rows.length <= limit || !last) return { items, next: null };
  return { items, next: { key: (last as Row)[order] as string | number, id: last.id } };
}

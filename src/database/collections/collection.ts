import { LostRace } from "../../application/lost-race.ts";
import type { Collection, New, PageOf, PageRequest, Position } from "../../application/ports.ts";
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
  /** Conditions that an index answers to, so that no more is looked at than what fits them. */
  indexed?: readonly string[];
  json?: readonly string[];
  include?: Row;
  where(filter: Filter): Row;
  /** From a decoded row to the record, and back, where the two differ. */
  read?(row: Row): T;
  write?(fields: Partial<T>): Row;
}

/**
 * A resource on a Prisma model, within the transaction's account. The model is asked for when it is
 * used: Prisma makes it anew for each transaction, and a request uses two or three of them.
 */
export function collectionOn<T extends { id: string; version: number }, Filter>(
  model: () => Delegate,
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
    const row = await model().findFirst({ where: { accountId, id }, ...include });
    return row ? read(row) : null;
  };
  return {
    find,
    async list(filter, page) {
      const { order } = plan;
      const where = plan.where(filter);
      const orderBy = [{ [order]: "desc" }, { id: "desc" }];
      const ahead = { AND: [{ accountId }, beyond(order, page)] };
      const floor = isSelective(where, plan)
        ? null
        : await model().findFirst({
            where: ahead,
            orderBy,
            skip: LOOKED_AT - 1,
            select: { [order]: true, id: true },
          });
      const rows = await model().findMany({
        where: { AND: [ahead, where, floor ? downTo(order, floor) : {}] },
        orderBy,
        take: page.limit + 1,
        ...include,
      });
      const last = floor && positionOf(decodeRow<Row>(floor), order);
      return pageOf(rows.map(read), order, page.limit, last);
    },
    async insert(row: New<T>) {
      await model().create({
        data: { ...write(row as unknown as Partial<T>), accountId, version: 1 },
      });
      return (await find((row as unknown as T).id)) as T;
    },
    async update(id, version, fields) {
      const { count } = await model().updateMany({
        where: { accountId, id, version },
        data: { ...write(fields as unknown as Partial<T>), version: { increment: 1 } },
      });
      if (count !== 1) throw new LostRace();
      return (await find(id)) as T;
    },
    async remove(id, version) {
      return (await model().deleteMany({ where: { accountId, id, version } })).count === 1;
    },
  };
}

/**
 * The keyset condition: rows after the last one that was shown, newest first. The first part says
 * nothing new; an index begins by it, where it would walk down to it by the second alone.
 */
function beyond(order: string, { after }: PageRequest): Row {
  if (!after) return {};
  const key = keyValue(order, after.key);
  const then = [{ [order]: { lt: key } }, { [order]: key, id: { lt: after.id } }];
  return { AND: [{ [order]: { lte: key } }, { OR: then }] };
}

function keyValue(order: string, key: string | number): unknown {
  if (isInstantField(order)) return new Date(Number(key));
  return isPlainDateField(order) ? new Date(`${String(key)}T00:00:00Z`) : key;
}

/**
 * Rows that one page looks at where no index leads to those that are asked for: a page may then be
 * short, or empty, and leads on all the same. However rare they are, no page walks through an account.
 */
const LOOKED_AT = 2_000;

function isSelective(
  where: Row,
  { order, indexed = [] }: { order: string; indexed?: readonly string[] },
): boolean {
  const names = Object.keys(where).filter((name) => name !== order);
  return names.length === 0 || names.some((name) => indexed.includes(name));
}

/** The rows that are not beyond this one, itself among them. */
function downTo(order: string, row: object): Row {
  const { [order]: key, id } = row as Row;
  return {
    AND: [{ [order]: { gte: key } }, { OR: [{ [order]: { gt: key } }, { id: { gte: id } }] }],
  };
}

function pageOf<T extends { id: string }>(
  rows: T[],
  order: string,
  limit: number,
  floor: Position | null,
): PageOf<T> {
  const items = rows.slice(0, limit);
  const last = items.at(-1);
  if (rows.length <= limit || !last) return { items, next: floor };
  return { items, next: positionOf(last, order) };
}

function positionOf(row: object, order: string): Position {
  const { [order]: key, id } = row as Row;
  return { key: key as string | number, id: String(id) };
}

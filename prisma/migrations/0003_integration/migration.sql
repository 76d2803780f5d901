-- What integrators build on: schedules shared by many machines, keys for a browser, origins, quotas
-- counted over all processes, imports with their reports, and the proof that an account is gone.

-- Origins of the web pages that may call with keys of the account. A table of its own, since whether
-- any account names an origin is asked before a key is shown: under row-level security only a plain
-- equality finds its way to an index.
create table allowed_origin (
  account_id uuid not null references account (id) on delete cascade,
  origin     text not null,
  primary key (account_id, origin)
);
create index allowed_origin_of_any on allowed_origin (origin);

-- A short-lived key belongs to the key that made it: it never outlives it, and is revoked with it.
alter table api_key add column parent_id uuid;
alter table api_key add foreign key (account_id, parent_id)
  references api_key (account_id, id) on delete cascade;
create index api_key_newest on api_key (account_id, created_at desc, id desc);
create index api_key_of_parent on api_key (account_id, parent_id) where parent_id is not null;
create index api_key_short_lived on api_key (expires_at) where parent_id is not null;

-- The tasks that machines of one kind share. A task that stands on a machine by a schedule names it
-- and its line; it is changed through the schedule.
create table schedule (
  account_id  uuid not null references account (id) on delete cascade,
  id          uuid not null,
  name        text not null,
  notes       text,
  -- Each a task's body and the line's own id, which stays the same over changes.
  lines       jsonb not null,
  external_id text,
  version     integer not null default 1,
  created_at  timestamptz(3) not null,
  updated_at  timestamptz(3) not null,
  primary key (account_id, id)
);
create unique index schedule_external_id on schedule (account_id, external_id) where external_id is not null;
create index schedule_newest on schedule (account_id, created_at desc, id desc);

alter table vehicle add column schedule_id uuid;
alter table vehicle add foreign key (account_id, schedule_id) references schedule (account_id, id);
create index vehicle_of_schedule on vehicle (account_id, schedule_id, created_at desc, id desc) where schedule_id is not null;

alter table task add column schedule_id uuid;
alter table task add column schedule_line uuid;
alter table task add foreign key (account_id, schedule_id) references schedule (account_id, id);
alter table task add check ((schedule_id is null) = (schedule_line is null));
create unique index task_of_line on task (account_id, vehicle_id, schedule_line) where schedule_line is not null;
create index task_of_schedule on task (account_id, schedule_id) where schedule_id is not null;

-- The days that followers were told, in order: a window over an account reads what lies in it, and no
-- machine beside. Columns of their own, since under row-level security no index of an expression with
-- ->> is used: the operator might leak what it sees.
alter table task add column likely_from double precision generated always as ((told->>'from')::float8) stored;
alter table task add column likely_most double precision generated always as ((told->>'most')::float8) stored;
create index task_likely_from on task (account_id, likely_from, id) where likely_from is not null;
create index task_likely_most on task (account_id, likely_most, id) where likely_most is not null;

-- Others of its kind, which lend a machine with few readings their habits.
create index vehicle_of_kind on vehicle (account_id, kind, id) where disposed_on is null;

-- What is listed, in its order, without walking through all there is.
create index vehicle_of_member on vehicle (account_id, responsible_member_id, created_at desc, id desc);
drop index vehicle_responsible;
create index vehicle_disposed on vehicle (account_id, created_at desc, id desc) where disposed_on is not null;
create index member_newest on member (account_id, created_at desc, id desc);
create index reminder_of_member on reminder (account_id, member_id, planned_for desc, id desc);
create index reminder_of_task on reminder (account_id, task_id) where task_id is not null;
create index message_of_member on message (account_id, member_id, created_at desc, id desc) where member_id is not null;

-- One import of many rows: all of them, or none.
create table import (
  account_id  uuid not null references account (id) on delete cascade,
  id          uuid not null,
  kind        text not null check (kind in ('readings', 'vehicles', 'work', 'account')),
  dry_run     boolean not null,
  status      text not null check (status in ('applied', 'refused', 'tried')),
  -- Rows by outcome, and how many of them are reported one by one.
  counts      jsonb not null,
  -- SHA-256 of the body, in hexadecimal: tells the same file from another.
  digest      text not null,
  -- The key that posted it: one that does not see all machines sees no import of others.
  key_id      uuid not null,
  external_id text,
  version     integer not null default 1,
  created_at  timestamptz(3) not null,
  updated_at  timestamptz(3) not null,
  primary key (account_id, id)
);
-- One that was refused or only tried leaves its externalId free for the file that is mended.
create unique index import_external_id on import (account_id, external_id)
  where external_id is not null and status = 'applied';
create index import_newest on import (account_id, created_at desc, id desc);

-- The rows of an import that need a look: refused, held, repeated.
create table import_row (
  account_id  uuid not null,
  import_id   uuid not null,
  -- In the order of the lines, of which one may have several faults.
  number      integer not null,
  line        integer not null,
  outcome     text not null check (outcome in ('refused', 'held', 'repeated')),
  column_name text,
  detail      text not null,
  resource_id uuid,
  primary key (account_id, import_id, number),
  foreign key (account_id, import_id) references import (account_id, id) on delete cascade
);

-- Requests counted in the running window, by all processes together, where there is no Redis. It may
-- be lost in a crash, and each row is of use for seconds.
create unlogged table rate_count (
  policy  text not null,
  who     text not null,
  ends_at timestamptz(3) not null,
  used    integer not null,
  primary key (policy, who)
) with (fillfactor = 50);
-- No index over ends_at: with it no update could stay on its page, and a key in use is updated with
-- each request.

-- What is left of an account that was deleted: that it was, when, and how many rows it had.
create table deleted_account (
  account_id uuid primary key,
  deleted_at timestamptz(3) not null,
  rows       jsonb not null
);

do $$
declare name text;
begin
  foreach name in array array['allowed_origin', 'schedule', 'import', 'import_row', 'deleted_account'] loop
    execute format('alter table %I enable row level security, force row level security', name);
    execute format('create policy own_account on %I using (account_id = (select current_account())) with check (account_id = (select current_account()))', name);
  end loop;
end $$;

-- Quotas belong to keys and addresses, before it is known whose they are.
alter table rate_count enable row level security, force row level security;
create policy everybody_counts on rate_count using (true) with check (true);

-- A browser asks whether an origin may call before it shows a key.
create policy asking_origin on allowed_origin for select
  using (origin = (select nullif(current_setting('forewheel.origin', true), '')));

create policy worker_clears on api_key using ((select across_accounts()));

grant select, insert, update, delete on allowed_origin, schedule, import, import_row, rate_count, deleted_account to forewheel_app;

-- Delivery beyond single reminders: digests, webhooks, calendar feeds, what was last told of a task,
-- and what workers must know of each other.

-- What followers were last told of a task: its stage and its likely day, so that only a change is told.
alter table task add column told jsonb;

-- By which code and which time-zone rules the machine's reminders were planned.
alter table vehicle add column planned_by text;
create index vehicle_planned_by on vehicle (planned_by, id);

-- When a member's next digest is written; no row without one. A table of its own, since the worker
-- looks through it over all accounts and never through members.
create table next_digest (
  account_id  uuid not null references account (id) on delete cascade,
  member_id   uuid not null,
  at          timestamptz(3) not null,
  primary key (account_id, member_id),
  foreign key (account_id, member_id) references member (account_id, id) on delete cascade
);
create index next_digest_at on next_digest (at);
-- Whoever asked for digests before they were sent: the first sweep finds the right moment.
insert into next_digest (account_id, member_id, at)
  select m.account_id, m.id, coalesce(a.clock, now())
  from member m join account a on a.id = m.account_id
  where m.reminders->>'digest' in ('weekly', 'monthly') and m.unsubscribed_at is null;

create table webhook_endpoint (
  account_id        uuid not null references account (id) on delete cascade,
  id                uuid not null,
  url               text not null,
  description       text,
  -- The types of event that it wants; empty for all.
  event_types       text[] not null default '{}',
  -- Its secret is derived from the service's own and this number, so that no secret is stored.
  secret_number     integer not null default 1,
  -- Until then what is sent is signed with the secret before as well.
  overlap_ends_at   timestamptz(3),
  disabled_at       timestamptz(3),
  disabled_why      text,
  -- The last event that was turned into a delivery, or passed over.
  cursor_xid        xid8 not null default pg_snapshot_xmin(pg_current_snapshot()),
  cursor_seq        bigint not null default 0,
  version           integer not null default 1,
  created_at        timestamptz(3) not null,
  updated_at        timestamptz(3) not null,
  primary key (account_id, id)
);
create index webhook_endpoint_newest on webhook_endpoint (account_id, created_at desc, id desc);

-- Attempts that ended without any outcome: the process died, or what was to be sent could not be made.
alter table message add column broken_off integer not null default 0;

-- A delivery to an endpoint is a message as well: it is leased, tried and noted like an email.
alter table message add column endpoint_id uuid;
alter table message add foreign key (account_id, endpoint_id)
  references webhook_endpoint (account_id, id) on delete cascade;
create index message_of_endpoint on message (account_id, endpoint_id, created_at desc, id desc)
  where endpoint_id is not null;
create index message_to_deliver on message (account_id, endpoint_id, next_attempt_at)
  where endpoint_id is not null and status in ('waiting', 'sending', 'unknown');
alter table message drop constraint message_kind_check;
alter table message add constraint message_kind_check
  check (kind in ('reminder', 'digest', 'confirmAddress', 'freshLink', 'notice', 'webhook'));
alter table message add check ((kind = 'webhook') = (endpoint_id is not null));

create table calendar_feed (
  account_id   uuid not null references account (id) on delete cascade,
  id           uuid not null,
  name         text not null,
  -- Whose machines it shows; null for all of the account.
  member_id    uuid,
  -- The address is derived from the service's secret and this number, so that no secret is stored.
  secret_number integer not null default 1,
  version      integer not null default 1,
  created_at   timestamptz(3) not null,
  updated_at   timestamptz(3) not null,
  primary key (account_id, id),
  foreign key (account_id, member_id) references member (account_id, id) on delete cascade
);
create index calendar_feed_newest on calendar_feed (account_id, created_at desc, id desc);

-- The mail server as all workers see it: after failures in a row one of them probes, the others wait.
create table relay (
  name        text primary key,
  failures    integer not null default 0,
  down_since  timestamptz(3),
  probe_at    timestamptz(3)
);
insert into relay (name) values ('smtp');

-- How far the workers have come. A worker remembers it outside the database as well; a database that
-- knows less than it remembers is a restored copy, and must not mail again what was sent since.
create table worker_position (
  only_row    boolean primary key default true check (only_row),
  -- A fresh one each time a hold is released: a copy made before that does not know it.
  lineages    uuid[] not null,
  beat        bigint not null default 0,
  held_since  timestamptz(3),
  held_why    text
);
insert into worker_position (lineages) values (array[gen_random_uuid()]);

-- One row a day: what the audit of that day found.
create table audit (
  audited_on  date primary key,
  replanned   integer not null,
  -- Reminders whose hour had passed and that were in no message.
  overlooked  integer not null,
  begun_at    timestamptz(3) not null,
  finished_at timestamptz(3)
);

do $$
declare name text;
begin
  foreach name in array array['next_digest', 'webhook_endpoint', 'calendar_feed'] loop
    execute format('alter table %I enable row level security, force row level security', name);
    execute format('create policy own_account on %I using (account_id = (select current_account())) with check (account_id = (select current_account()))', name);
  end loop;
  foreach name in array array['relay', 'worker_position', 'audit'] loop
    execute format('alter table %I enable row level security, force row level security', name);
    execute format('create policy worker_keeps on %I using ((select across_accounts())) with check ((select across_accounts()))', name);
  end loop;
end $$;

create policy worker_follows on webhook_endpoint using ((select across_accounts())) with check ((select across_accounts()));
create policy worker_follows on event for select using ((select across_accounts()));
create policy worker_gathers on next_digest using ((select across_accounts())) with check ((select across_accounts()));

grant select, insert, update, delete on next_digest, webhook_endpoint, calendar_feed, relay, worker_position, audit to forewheel_app;

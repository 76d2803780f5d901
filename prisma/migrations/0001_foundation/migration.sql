-- The whole foundation: accounts and who acts in them, machines and their meters, tasks and work,
-- reminders and messages, and the log of changes. Every table belongs to an account, keys and foreign
-- keys are (account_id, id), and row-level security is forced, so that a forgotten condition shows
-- nothing instead of another account's rows.

-- Whose rows this transaction sees; null outside an account. The setting is '' after the first
-- transaction that used it on a connection, hence nullif.
create function current_account() returns uuid
  language sql stable parallel safe
  return nullif(current_setting('forewheel.account', true), '')::uuid;

-- The worker looks for what is due over all accounts; only the tables it looks through say so below.
create function across_accounts() returns boolean
  language sql stable parallel safe
  return coalesce(current_setting('forewheel.scope', true), '') = 'worker';

create table account (
  id          uuid primary key,
  name        text not null,
  sandbox     boolean not null default false,
  -- A sandbox account's own time; it only moves forward.
  clock       timestamptz(3),
  version     integer not null default 1,
  created_at  timestamptz(3) not null,
  updated_at  timestamptz(3) not null,
  check (sandbox = (clock is not null))
);

create table member (
  account_id         uuid not null references account (id) on delete cascade,
  id                 uuid not null,
  name               text not null,
  email              text not null,
  -- Reminders go to an address only after its owner confirmed it or someone with the right vouched for it.
  email_confirmed_at timestamptz(3),
  email_suppressed   text,
  unsubscribed_at    timestamptz(3),
  role               text not null check (role in ('owner', 'manager', 'mechanic', 'rider')),
  locale             text not null,
  time_zone          text not null,
  unit               text not null check (unit in ('km', 'mi')),
  reminders          jsonb not null,
  external_id        text,
  version            integer not null default 1,
  created_at         timestamptz(3) not null,
  updated_at         timestamptz(3) not null,
  primary key (account_id, id)
);
create unique index member_external_id on member (account_id, external_id) where external_id is not null;
create unique index member_owner on member (account_id) where role = 'owner';

create table api_key (
  account_id   uuid not null references account (id) on delete cascade,
  id           uuid not null,
  public_id    text not null unique,
  secret_hash  bytea not null,
  name         text not null,
  scopes       text[] not null,
  member_id    uuid,
  vehicle_ids  uuid[],
  expires_at   timestamptz(3),
  revoked_at   timestamptz(3),
  last_used_at timestamptz(3),
  version      integer not null default 1,
  created_at   timestamptz(3) not null,
  updated_at   timestamptz(3) not null,
  primary key (account_id, id),
  foreign key (account_id, member_id) references member (account_id, id) on delete cascade
);

create table vehicle (
  account_id            uuid not null references account (id) on delete cascade,
  id                    uuid not null,
  name                  text not null,
  kind                  text not null check (kind in ('motorcycle', 'moped', 'eScooter', 'bicycle', 'quad', 'car', 'van', 'camper', 'other')),
  meter_unit            text not null check (meter_unit in ('km', 'mi')),
  hours_meter           boolean not null default false,
  make                  text,
  model                 text,
  model_year            integer,
  registration          text,
  frame_number          text,
  group_name            text,
  in_service_on         date,
  declared_per_year     double precision,
  hemisphere            text check (hemisphere in ('north', 'south')),
  responsible_member_id uuid not null,
  disposed_on           date,
  off_road              boolean not null default false,
  notes                 text,
  external_id           text,
  -- When its reminders are to be planned again although nothing was posted.
  replan_at             timestamptz(3),
  version               integer not null default 1,
  created_at            timestamptz(3) not null,
  updated_at            timestamptz(3) not null,
  primary key (account_id, id),
  foreign key (account_id, responsible_member_id) references member (account_id, id)
);
create unique index vehicle_external_id on vehicle (account_id, external_id) where external_id is not null;
create index vehicle_newest on vehicle (account_id, created_at desc, id desc);
create index vehicle_to_replan on vehicle (replan_at) where replan_at is not null;
create index vehicle_responsible on vehicle (account_id, responsible_member_id);

create table meter_change (
  account_id uuid not null,
  id         uuid not null,
  vehicle_id uuid not null,
  meter      text not null check (meter in ('distance', 'hours')),
  at         timestamptz(3) not null,
  before     double precision,
  after      double precision not null,
  note       text,
  version    integer not null default 1,
  created_at timestamptz(3) not null,
  updated_at timestamptz(3) not null,
  primary key (account_id, id),
  foreign key (account_id, vehicle_id) references vehicle (account_id, id) on delete cascade
);
create index meter_change_of_vehicle on meter_change (account_id, vehicle_id, at desc, id desc);

create table lay_up (
  account_id uuid not null,
  id         uuid not null,
  vehicle_id uuid not null,
  from_on    date not null,
  -- The first day of use again; null while nobody knows.
  to_on      date,
  reason     text,
  version    integer not null default 1,
  created_at timestamptz(3) not null,
  updated_at timestamptz(3) not null,
  primary key (account_id, id),
  foreign key (account_id, vehicle_id) references vehicle (account_id, id) on delete cascade,
  check (to_on is null or to_on > from_on)
);
create index lay_up_of_vehicle on lay_up (account_id, vehicle_id, from_on desc, id desc);

create table work_record (
  account_id   uuid not null,
  id           uuid not null,
  vehicle_id   uuid not null,
  done_at      timestamptz(3) not null,
  done_on      date not null,
  -- What the meters had run in total, in the meter's unit and in hours, when the work was done.
  distance     double precision,
  hours        double precision,
  reading      jsonb,
  performed_by jsonb not null,
  findings     jsonb not null default '[]',
  parts        jsonb not null default '[]',
  minutes      double precision,
  labour       jsonb,
  cost         jsonb,
  notes        text,
  in_window    text check (in_window in ('within', 'outside')),
  status       text not null check (status in ('standing', 'amended', 'void')),
  -- What stood before each amendment, and why it was amended or voided, oldest first.
  revisions    jsonb not null default '[]',
  external_id  text,
  version      integer not null default 1,
  created_at   timestamptz(3) not null,
  updated_at   timestamptz(3) not null,
  primary key (account_id, id),
  foreign key (account_id, vehicle_id) references vehicle (account_id, id) on delete cascade
);
create unique index work_record_external_id on work_record (account_id, external_id) where external_id is not null;
create index work_record_newest on work_record (account_id, vehicle_id, done_at desc, id desc);

create table reading (
  account_id     uuid not null,
  id             uuid not null,
  vehicle_id     uuid not null,
  meter          text not null check (meter in ('distance', 'hours')),
  at             timestamptz(3) not null,
  value          double precision not null,
  unit           text not null check (unit in ('km', 'mi', 'h')),
  -- Offset of the present instrument + what was shown, in the meter's own unit.
  total          double precision not null,
  status         text not null check (status in ('accepted', 'held', 'superseded')),
  confirmed      boolean not null default false,
  reasons        jsonb not null default '[]',
  source         text not null check (source in ('rider', 'workshop', 'import', 'device', 'link')),
  note           text,
  replaces_id    uuid,
  work_record_id uuid,
  external_id    text,
  version        integer not null default 1,
  created_at     timestamptz(3) not null,
  updated_at     timestamptz(3) not null,
  primary key (account_id, id),
  foreign key (account_id, vehicle_id) references vehicle (account_id, id) on delete cascade
);
create unique index reading_external_id on reading (account_id, external_id) where external_id is not null;
create index reading_newest on reading (account_id, vehicle_id, at desc, id desc);

create table task (
  account_id     uuid not null,
  id             uuid not null,
  vehicle_id     uuid not null,
  title          text not null,
  kind           text not null check (kind in ('recurring', 'once', 'fixedDate')),
  first_limits   jsonb,
  every_limits   jsonb,
  on_date        date,
  whichever      text not null check (whichever in ('first', 'last')),
  repeat_from    text not null check (repeat_from in ('completion', 'marks')),
  counts_from    text not null check (counts_from in ('work', 'manufacture')),
  severe         jsonb,
  early_limits   jsonb,
  late_limits    jsonb,
  lead           jsonb,
  paused         boolean not null default false,
  minutes        double precision,
  access         text[] not null default '{}',
  steps          text[] not null default '{}',
  tools          text[] not null default '{}',
  parts          jsonb not null default '[]',
  fluids         jsonb not null default '[]',
  cautions       text[] not null default '{}',
  closing_checks text[] not null default '{}',
  points         jsonb not null default '[]',
  -- What was known of the last work before any was logged here.
  stated_work    jsonb not null,
  version        integer not null default 1,
  created_at     timestamptz(3) not null,
  updated_at     timestamptz(3) not null,
  primary key (account_id, id),
  foreign key (account_id, vehicle_id) references vehicle (account_id, id) on delete cascade
);
create index task_of_vehicle on task (account_id, vehicle_id, created_at desc, id desc);

-- Which tasks a piece of work covered, and which occurrence of each it answered.
create table work_task (
  account_id     uuid not null,
  work_record_id uuid not null,
  task_id        uuid not null,
  title          text not null,
  occurrence     text,
  in_window      text check (in_window in ('within', 'outside')),
  primary key (account_id, work_record_id, task_id),
  foreign key (account_id, work_record_id) references work_record (account_id, id) on delete cascade
);
create index work_task_of_task on work_task (account_id, task_id);

create table message (
  account_id        uuid not null references account (id) on delete cascade,
  id                uuid not null,
  member_id         uuid,
  kind              text not null check (kind in ('reminder', 'confirmAddress', 'freshLink', 'notice')),
  dedupe            text not null,
  -- What a message that carries no reminders needs to be rendered.
  content           jsonb not null default '{}',
  status            text not null check (status in ('waiting', 'sending', 'sent', 'failed', 'unknown', 'suppressed')),
  attempts          integer not null default 0,
  next_attempt_at   timestamptz(3) not null,
  give_up_at        timestamptz(3) not null,
  lease_until       timestamptz(3),
  lease_token       uuid,
  last_answer       text,
  message_id_header text not null,
  address           text,
  subject           text,
  text              text,
  html              text,
  headers           jsonb,
  attachments       jsonb not null default '[]',
  sent_at           timestamptz(3),
  version           integer not null default 1,
  created_at        timestamptz(3) not null,
  updated_at        timestamptz(3) not null,
  primary key (account_id, id),
  unique (account_id, dedupe),
  foreign key (account_id, member_id) references member (account_id, id) on delete cascade
);
create index message_to_send on message (next_attempt_at) where status in ('waiting', 'sending', 'unknown');
create index message_newest on message (account_id, created_at desc, id desc);

create table reminder (
  account_id        uuid not null,
  id                uuid not null,
  key               text not null,
  vehicle_id        uuid not null,
  -- A request for a reading belongs to the vehicle alone.
  task_id           uuid,
  member_id         uuid not null,
  occurrence        text not null,
  revision          integer not null,
  stage             text not null check (stage in ('ahead', 'due', 'overdue', 'ask')),
  planned_for       timestamptz(3) not null,
  status            text not null check (status in ('planned', 'sent', 'cancelled', 'deferred', 'failed')),
  why               jsonb not null,
  deferred_until_on date,
  deferred_until_distance double precision,
  -- The day (counted from 1970-01-01) on which the due point was expected when the reminder was sent.
  expected_day      double precision,
  cancelled_by      text check (cancelled_by in ('person', 'plan')),
  message_id        uuid,
  sent_at           timestamptz(3),
  version           integer not null default 1,
  created_at        timestamptz(3) not null,
  updated_at        timestamptz(3) not null,
  primary key (account_id, id),
  unique (account_id, key),
  foreign key (account_id, vehicle_id) references vehicle (account_id, id) on delete cascade,
  foreign key (account_id, task_id) references task (account_id, id) on delete cascade,
  foreign key (account_id, member_id) references member (account_id, id) on delete cascade,
  foreign key (account_id, message_id) references message (account_id, id)
);
create index reminder_planned on reminder (planned_for) where status in ('planned', 'deferred') and message_id is null;
create index reminder_of_vehicle on reminder (account_id, vehicle_id);
create index reminder_of_message on reminder (account_id, message_id) where message_id is not null;
create index reminder_newest on reminder (account_id, planned_for desc, id desc);

-- One submission of a form behind a mailed link counts once.
create table link_use (
  account_id uuid not null references account (id) on delete cascade,
  nonce      text not null,
  used_at    timestamptz(3) not null,
  outcome    jsonb not null,
  primary key (account_id, nonce)
);

-- The log of everything that changed. A reader must not pass over a row that commits late, so it
-- reads in the order of (xid, seq) and only transactions older than every running one.
create table event (
  account_id  uuid not null references account (id) on delete cascade,
  seq         bigint generated always as identity,
  xid         xid8 not null default pg_current_xact_id(),
  id          uuid not null,
  type        text not null,
  vehicle_id  uuid,
  resource_id uuid not null,
  data        jsonb not null,
  at          timestamptz(3) not null,
  primary key (account_id, xid, seq)
);

-- Answers to requests that may be repeated. The operator's requests stand under the nil UUID.
create table idempotency (
  account_id  uuid not null,
  scope       text not null,
  key         text not null,
  fingerprint text not null,
  status      integer,
  headers     jsonb,
  body        text,
  created_at  timestamptz(3) not null,
  primary key (account_id, scope, key)
);
create index idempotency_oldest on idempotency (created_at);

do $$
declare
  name text;
begin
  foreach name in array array['member', 'api_key', 'vehicle', 'meter_change', 'lay_up', 'work_record',
                              'reading', 'task', 'work_task', 'message', 'reminder', 'link_use', 'event', 'idempotency']
  loop
    execute format('alter table %I enable row level security, force row level security', name);
    execute format('create policy own_account on %I using (account_id = (select current_account())) with check (account_id = (select current_account()))', name);
  end loop;
end
$$;
alter table account enable row level security, force row level security;
create policy own_account on account using (id = (select current_account())) with check (id = (select current_account()));

-- A key is looked up before it is known whose it is: the transaction names the one that it presents.
create policy presented_key on api_key for select
  using (public_id = (select nullif(current_setting('forewheel.key', true), '')));

create policy member_of_presented_key on member for select
  using ((select nullif(current_setting('forewheel.key', true), '')) is not null
    and exists (select from api_key k where k.account_id = member.account_id and k.member_id = member.id
                and k.public_id = (select nullif(current_setting('forewheel.key', true), ''))));

-- What the worker looks through and gathers, over all accounts.
create policy worker_reads on account for select using ((select across_accounts()));
create policy worker_reads on vehicle for select using ((select across_accounts()));
create policy worker_gathers on reminder using ((select across_accounts())) with check ((select across_accounts()));
create policy worker_gathers on message using ((select across_accounts())) with check ((select across_accounts()));
create policy worker_clears on idempotency using ((select across_accounts()));

grant usage on schema public to forewheel_app;
grant select, insert, update, delete on all tables in schema public to forewheel_app;
revoke all on table _prisma_migrations from forewheel_app;
grant usage on all sequences in schema public to forewheel_app;
grant execute on all functions in schema public to forewheel_app;

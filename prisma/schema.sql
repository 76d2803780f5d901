-- Written by "npm run migrate -- --write-catalogue"; compared with the database in the tests.

create table account (
  id uuid not null,
  name text not null,
  sandbox boolean not null default false,
  clock timestamp(3) with time zone,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table allowed_origin (
  account_id uuid not null,
  origin text not null
);

create table api_key (
  account_id uuid not null,
  id uuid not null,
  public_id text not null,
  secret_hash bytea not null,
  name text not null,
  scopes text[] not null,
  member_id uuid,
  vehicle_ids uuid[],
  expires_at timestamp(3) with time zone,
  revoked_at timestamp(3) with time zone,
  last_used_at timestamp(3) with time zone,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null,
  parent_id uuid
);

create table audit (
  audited_on date not null,
  replanned integer not null,
  overlooked integer not null,
  begun_at timestamp(3) with time zone not null,
  finished_at timestamp(3) with time zone
);

create table calendar_feed (
  account_id uuid not null,
  id uuid not null,
  name text not null,
  member_id uuid,
  secret_number integer not null default 1,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table deleted_account (
  account_id uuid not null,
  deleted_at timestamp(3) with time zone not null,
  rows jsonb not null
);

create table event (
  account_id uuid not null,
  seq bigint not null generated always as identity,
  xid xid8 not null default pg_current_xact_id(),
  id uuid not null,
  type text not null,
  vehicle_id uuid,
  resource_id uuid not null,
  data jsonb not null,
  at timestamp(3) with time zone not null
);

create table idempotency (
  account_id uuid not null,
  scope text not null,
  key text not null,
  fingerprint text not null,
  status integer,
  headers jsonb,
  body text,
  created_at timestamp(3) with time zone not null
);

create table import (
  account_id uuid not null,
  id uuid not null,
  kind text not null,
  dry_run boolean not null,
  status text not null,
  counts jsonb not null,
  digest text not null,
  key_id uuid not null,
  external_id text,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table import_row (
  account_id uuid not null,
  import_id uuid not null,
  number integer not null,
  line integer not null,
  outcome text not null,
  column_name text,
  detail text not null,
  resource_id uuid
);

create table lay_up (
  account_id uuid not null,
  id uuid not null,
  vehicle_id uuid not null,
  from_on date not null,
  to_on date,
  reason text,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table link_use (
  account_id uuid not null,
  nonce text not null,
  used_at timestamp(3) with time zone not null,
  outcome jsonb not null
);

create table member (
  account_id uuid not null,
  id uuid not null,
  name text not null,
  email text not null,
  email_confirmed_at timestamp(3) with time zone,
  email_suppressed text,
  unsubscribed_at timestamp(3) with time zone,
  role text not null,
  locale text not null,
  time_zone text not null,
  unit text not null,
  reminders jsonb not null,
  external_id text,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table message (
  account_id uuid not null,
  id uuid not null,
  member_id uuid,
  kind text not null,
  dedupe text not null,
  content jsonb not null default '{}'::jsonb,
  status text not null,
  attempts integer not null default 0,
  next_attempt_at timestamp(3) with time zone not null,
  give_up_at timestamp(3) with time zone not null,
  lease_until timestamp(3) with time zone,
  lease_token uuid,
  last_answer text,
  message_id_header text not null,
  address text,
  subject text,
  text text,
  html text,
  headers jsonb,
  attachments jsonb not null default '[]'::jsonb,
  sent_at timestamp(3) with time zone,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null,
  broken_off integer not null default 0,
  endpoint_id uuid
);

create table meter_change (
  account_id uuid not null,
  id uuid not null,
  vehicle_id uuid not null,
  meter text not null,
  at timestamp(3) with time zone not null,
  before double precision,
  after double precision not null,
  note text,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table next_digest (
  account_id uuid not null,
  member_id uuid not null,
  at timestamp(3) with time zone not null
);

create table rate_count (
  policy text not null,
  who text not null,
  ends_at timestamp(3) with time zone not null,
  used integer not null
);

create table reading (
  account_id uuid not null,
  id uuid not null,
  vehicle_id uuid not null,
  meter text not null,
  at timestamp(3) with time zone not null,
  value double precision not null,
  unit text not null,
  total double precision not null,
  status text not null,
  confirmed boolean not null default false,
  reasons jsonb not null default '[]'::jsonb,
  source text not null,
  note text,
  replaces_id uuid,
  work_record_id uuid,
  external_id text,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table relay (
  name text not null,
  failures integer not null default 0,
  down_since timestamp(3) with time zone,
  probe_at timestamp(3) with time zone
);

create table reminder (
  account_id uuid not null,
  id uuid not null,
  key text not null,
  vehicle_id uuid not null,
  task_id uuid,
  member_id uuid not null,
  occurrence text not null,
  revision integer not null,
  stage text not null,
  planned_for timestamp(3) with time zone not null,
  status text not null,
  why jsonb not null,
  deferred_until_on date,
  deferred_until_distance double precision,
  expected_day double precision,
  cancelled_by text,
  message_id uuid,
  sent_at timestamp(3) with time zone,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table schedule (
  account_id uuid not null,
  id uuid not null,
  name text not null,
  notes text,
  lines jsonb not null,
  external_id text,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table task (
  account_id uuid not null,
  id uuid not null,
  vehicle_id uuid not null,
  title text not null,
  kind text not null,
  first_limits jsonb,
  every_limits jsonb,
  on_date date,
  whichever text not null,
  repeat_from text not null,
  counts_from text not null,
  severe jsonb,
  early_limits jsonb,
  late_limits jsonb,
  lead jsonb,
  paused boolean not null default false,
  minutes double precision,
  access text[] not null default '{}'::text[],
  steps text[] not null default '{}'::text[],
  tools text[] not null default '{}'::text[],
  parts jsonb not null default '[]'::jsonb,
  fluids jsonb not null default '[]'::jsonb,
  cautions text[] not null default '{}'::text[],
  closing_checks text[] not null default '{}'::text[],
  points jsonb not null default '[]'::jsonb,
  stated_work jsonb not null,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null,
  told jsonb,
  schedule_id uuid,
  schedule_line uuid,
  likely_from double precision default ((told ->> 'from'::text))::double precision,
  likely_most double precision default ((told ->> 'most'::text))::double precision
);

create table vehicle (
  account_id uuid not null,
  id uuid not null,
  name text not null,
  kind text not null,
  meter_unit text not null,
  hours_meter boolean not null default false,
  make text,
  model text,
  model_year integer,
  registration text,
  frame_number text,
  group_name text,
  in_service_on date,
  declared_per_year double precision,
  hemisphere text,
  responsible_member_id uuid not null,
  disposed_on date,
  off_road boolean not null default false,
  notes text,
  external_id text,
  replan_at timestamp(3) with time zone,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null,
  planned_by text,
  schedule_id uuid
);

create table webhook_endpoint (
  account_id uuid not null,
  id uuid not null,
  url text not null,
  description text,
  event_types text[] not null default '{}'::text[],
  secret_number integer not null default 1,
  overlap_ends_at timestamp(3) with time zone,
  disabled_at timestamp(3) with time zone,
  disabled_why text,
  cursor_xid xid8 not null default pg_snapshot_xmin(pg_current_snapshot()),
  cursor_seq bigint not null default 0,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table work_record (
  account_id uuid not null,
  id uuid not null,
  vehicle_id uuid not null,
  done_at timestamp(3) with time zone not null,
  done_on date not null,
  distance double precision,
  hours double precision,
  reading jsonb,
  performed_by jsonb not null,
  findings jsonb not null default '[]'::jsonb,
  parts jsonb not null default '[]'::jsonb,
  minutes double precision,
  labour jsonb,
  cost jsonb,
  notes text,
  in_window text,
  status text not null,
  revisions jsonb not null default '[]'::jsonb,
  external_id text,
  version integer not null default 1,
  created_at timestamp(3) with time zone not null,
  updated_at timestamp(3) with time zone not null
);

create table work_task (
  account_id uuid not null,
  work_record_id uuid not null,
  task_id uuid not null,
  title text not null,
  occurrence text,
  in_window text
);

create table worker_position (
  only_row boolean not null default true,
  lineages uuid[] not null,
  beat bigint not null default 0,
  held_since timestamp(3) with time zone,
  held_why text
);

alter table account add constraint account_check CHECK ((sandbox = (clock IS NOT NULL)));
alter table account add constraint account_pkey PRIMARY KEY (id);
alter table allowed_origin add constraint allowed_origin_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table allowed_origin add constraint allowed_origin_pkey PRIMARY KEY (account_id, origin);
alter table api_key add constraint api_key_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table api_key add constraint api_key_account_id_member_id_fkey FOREIGN KEY (account_id, member_id) REFERENCES member(account_id, id) ON DELETE CASCADE;
alter table api_key add constraint api_key_account_id_parent_id_fkey FOREIGN KEY (account_id, parent_id) REFERENCES api_key(account_id, id) ON DELETE CASCADE;
alter table api_key add constraint api_key_pkey PRIMARY KEY (account_id, id);
alter table api_key add constraint api_key_public_id_key UNIQUE (public_id);
alter table audit add constraint audit_pkey PRIMARY KEY (audited_on);
alter table calendar_feed add constraint calendar_feed_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table calendar_feed add constraint calendar_feed_account_id_member_id_fkey FOREIGN KEY (account_id, member_id) REFERENCES member(account_id, id) ON DELETE CASCADE;
alter table calendar_feed add constraint calendar_feed_pkey PRIMARY KEY (account_id, id);
alter table deleted_account add constraint deleted_account_pkey PRIMARY KEY (account_id);
alter table event add constraint event_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table event add constraint event_pkey PRIMARY KEY (account_id, xid, seq);
alter table idempotency add constraint idempotency_pkey PRIMARY KEY (account_id, scope, key);
alter table import add constraint import_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table import add constraint import_kind_check CHECK ((kind = ANY (ARRAY['readings'::text, 'vehicles'::text, 'work'::text, 'account'::text])));
alter table import add constraint import_pkey PRIMARY KEY (account_id, id);
alter table import add constraint import_status_check CHECK ((status = ANY (ARRAY['applied'::text, 'refused'::text, 'tried'::text])));
alter table import_row add constraint import_row_account_id_import_id_fkey FOREIGN KEY (account_id, import_id) REFERENCES import(account_id, id) ON DELETE CASCADE;
alter table import_row add constraint import_row_outcome_check CHECK ((outcome = ANY (ARRAY['refused'::text, 'held'::text, 'repeated'::text])));
alter table import_row add constraint import_row_pkey PRIMARY KEY (account_id, import_id, number);
alter table lay_up add constraint lay_up_account_id_vehicle_id_fkey FOREIGN KEY (account_id, vehicle_id) REFERENCES vehicle(account_id, id) ON DELETE CASCADE;
alter table lay_up add constraint lay_up_check CHECK (((to_on IS NULL) OR (to_on > from_on)));
alter table lay_up add constraint lay_up_pkey PRIMARY KEY (account_id, id);
alter table link_use add constraint link_use_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table link_use add constraint link_use_pkey PRIMARY KEY (account_id, nonce);
alter table member add constraint member_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table member add constraint member_pkey PRIMARY KEY (account_id, id);
alter table member add constraint member_role_check CHECK ((role = ANY (ARRAY['owner'::text, 'manager'::text, 'mechanic'::text, 'rider'::text])));
alter table member add constraint member_unit_check CHECK ((unit = ANY (ARRAY['km'::text, 'mi'::text])));
alter table message add constraint message_account_id_dedupe_key UNIQUE (account_id, dedupe);
alter table message add constraint message_account_id_endpoint_id_fkey FOREIGN KEY (account_id, endpoint_id) REFERENCES webhook_endpoint(account_id, id) ON DELETE CASCADE;
alter table message add constraint message_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table message add constraint message_account_id_member_id_fkey FOREIGN KEY (account_id, member_id) REFERENCES member(account_id, id) ON DELETE CASCADE;
alter table message add constraint message_check CHECK (((kind = 'webhook'::text) = (endpoint_id IS NOT NULL)));
alter table message add constraint message_kind_check CHECK ((kind = ANY (ARRAY['reminder'::text, 'digest'::text, 'confirmAddress'::text, 'freshLink'::text, 'notice'::text, 'webhook'::text])));
alter table message add constraint message_pkey PRIMARY KEY (account_id, id);
alter table message add constraint message_status_check CHECK ((status = ANY (ARRAY['waiting'::text, 'sending'::text, 'sent'::text, 'failed'::text, 'unknown'::text, 'suppressed'::text])));
alter table meter_change add constraint meter_change_account_id_vehicle_id_fkey FOREIGN KEY (account_id, vehicle_id) REFERENCES vehicle(account_id, id) ON DELETE CASCADE;
alter table meter_change add constraint meter_change_meter_check CHECK ((meter = ANY (ARRAY['distance'::text, 'hours'::text])));
alter table meter_change add constraint meter_change_pkey PRIMARY KEY (account_id, id);
alter table next_digest add constraint next_digest_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table next_digest add constraint next_digest_account_id_member_id_fkey FOREIGN KEY (account_id, member_id) REFERENCES member(account_id, id) ON DELETE CASCADE;
alter table next_digest add constraint next_digest_pkey PRIMARY KEY (account_id, member_id);
alter table rate_count add constraint rate_count_pkey PRIMARY KEY (policy, who);
alter table reading add constraint reading_account_id_vehicle_id_fkey FOREIGN KEY (account_id, vehicle_id) REFERENCES vehicle(account_id, id) ON DELETE CASCADE;
alter table reading add constraint reading_meter_check CHECK ((meter = ANY (ARRAY['distance'::text, 'hours'::text])));
alter table reading add constraint reading_pkey PRIMARY KEY (account_id, id);
alter table reading add constraint reading_source_check CHECK ((source = ANY (ARRAY['rider'::text, 'workshop'::text, 'import'::text, 'device'::text, 'link'::text])));
alter table reading add constraint reading_status_check CHECK ((status = ANY (ARRAY['accepted'::text, 'held'::text, 'superseded'::text])));
alter table reading add constraint reading_unit_check CHECK ((unit = ANY (ARRAY['km'::text, 'mi'::text, 'h'::text])));
alter table relay add constraint relay_pkey PRIMARY KEY (name);
alter table reminder add constraint reminder_account_id_key_key UNIQUE (account_id, key);
alter table reminder add constraint reminder_account_id_member_id_fkey FOREIGN KEY (account_id, member_id) REFERENCES member(account_id, id) ON DELETE CASCADE;
alter table reminder add constraint reminder_account_id_message_id_fkey FOREIGN KEY (account_id, message_id) REFERENCES message(account_id, id);
alter table reminder add constraint reminder_account_id_task_id_fkey FOREIGN KEY (account_id, task_id) REFERENCES task(account_id, id) ON DELETE CASCADE;
alter table reminder add constraint reminder_account_id_vehicle_id_fkey FOREIGN KEY (account_id, vehicle_id) REFERENCES vehicle(account_id, id) ON DELETE CASCADE;
alter table reminder add constraint reminder_cancelled_by_check CHECK ((cancelled_by = ANY (ARRAY['person'::text, 'plan'::text])));
alter table reminder add constraint reminder_pkey PRIMARY KEY (account_id, id);
alter table reminder add constraint reminder_stage_check CHECK ((stage = ANY (ARRAY['ahead'::text, 'due'::text, 'overdue'::text, 'ask'::text])));
alter table reminder add constraint reminder_status_check CHECK ((status = ANY (ARRAY['planned'::text, 'sent'::text, 'cancelled'::text, 'deferred'::text, 'failed'::text])));
alter table schedule add constraint schedule_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table schedule add constraint schedule_pkey PRIMARY KEY (account_id, id);
alter table task add constraint task_account_id_schedule_id_fkey FOREIGN KEY (account_id, schedule_id) REFERENCES schedule(account_id, id);
alter table task add constraint task_account_id_vehicle_id_fkey FOREIGN KEY (account_id, vehicle_id) REFERENCES vehicle(account_id, id) ON DELETE CASCADE;
alter table task add constraint task_check CHECK (((schedule_id IS NULL) = (schedule_line IS NULL)));
alter table task add constraint task_counts_from_check CHECK ((counts_from = ANY (ARRAY['work'::text, 'manufacture'::text])));
alter table task add constraint task_kind_check CHECK ((kind = ANY (ARRAY['recurring'::text, 'once'::text, 'fixedDate'::text])));
alter table task add constraint task_pkey PRIMARY KEY (account_id, id);
alter table task add constraint task_repeat_from_check CHECK ((repeat_from = ANY (ARRAY['completion'::text, 'marks'::text])));
alter table task add constraint task_whichever_check CHECK ((whichever = ANY (ARRAY['first'::text, 'last'::text])));
alter table vehicle add constraint vehicle_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table vehicle add constraint vehicle_account_id_responsible_member_id_fkey FOREIGN KEY (account_id, responsible_member_id) REFERENCES member(account_id, id);
alter table vehicle add constraint vehicle_account_id_schedule_id_fkey FOREIGN KEY (account_id, schedule_id) REFERENCES schedule(account_id, id);
alter table vehicle add constraint vehicle_hemisphere_check CHECK ((hemisphere = ANY (ARRAY['north'::text, 'south'::text])));
alter table vehicle add constraint vehicle_kind_check CHECK ((kind = ANY (ARRAY['motorcycle'::text, 'moped'::text, 'eScooter'::text, 'bicycle'::text, 'quad'::text, 'car'::text, 'van'::text, 'camper'::text, 'other'::text])));
alter table vehicle add constraint vehicle_meter_unit_check CHECK ((meter_unit = ANY (ARRAY['km'::text, 'mi'::text])));
alter table vehicle add constraint vehicle_pkey PRIMARY KEY (account_id, id);
alter table webhook_endpoint add constraint webhook_endpoint_account_id_fkey FOREIGN KEY (account_id) REFERENCES account(id) ON DELETE CASCADE;
alter table webhook_endpoint add constraint webhook_endpoint_pkey PRIMARY KEY (account_id, id);
alter table work_record add constraint work_record_account_id_vehicle_id_fkey FOREIGN KEY (account_id, vehicle_id) REFERENCES vehicle(account_id, id) ON DELETE CASCADE;
alter table work_record add constraint work_record_in_window_check CHECK ((in_window = ANY (ARRAY['within'::text, 'outside'::text])));
alter table work_record add constraint work_record_pkey PRIMARY KEY (account_id, id);
alter table work_record add constraint work_record_status_check CHECK ((status = ANY (ARRAY['standing'::text, 'amended'::text, 'void'::text])));
alter table work_task add constraint work_task_account_id_work_record_id_fkey FOREIGN KEY (account_id, work_record_id) REFERENCES work_record(account_id, id) ON DELETE CASCADE;
alter table work_task add constraint work_task_in_window_check CHECK ((in_window = ANY (ARRAY['within'::text, 'outside'::text])));
alter table work_task add constraint work_task_pkey PRIMARY KEY (account_id, work_record_id, task_id);
alter table worker_position add constraint worker_position_only_row_check CHECK (only_row);
alter table worker_position add constraint worker_position_pkey PRIMARY KEY (only_row);

CREATE INDEX allowed_origin_of_any ON public.allowed_origin USING btree (origin);
CREATE INDEX api_key_newest ON public.api_key USING btree (account_id, created_at DESC, id DESC);
CREATE INDEX api_key_of_parent ON public.api_key USING btree (account_id, parent_id) WHERE (parent_id IS NOT NULL);
CREATE INDEX api_key_short_lived ON public.api_key USING btree (expires_at) WHERE (parent_id IS NOT NULL);
CREATE INDEX calendar_feed_newest ON public.calendar_feed USING btree (account_id, created_at DESC, id DESC);
CREATE INDEX idempotency_oldest ON public.idempotency USING btree (created_at);
CREATE INDEX import_newest ON public.import USING btree (account_id, created_at DESC, id DESC);
CREATE INDEX lay_up_of_vehicle ON public.lay_up USING btree (account_id, vehicle_id, from_on DESC, id DESC);
CREATE INDEX member_newest ON public.member USING btree (account_id, created_at DESC, id DESC);
CREATE INDEX message_newest ON public.message USING btree (account_id, created_at DESC, id DESC);
CREATE INDEX message_of_endpoint ON public.message USING btree (account_id, endpoint_id, created_at DESC, id DESC) WHERE (endpoint_id IS NOT NULL);
CREATE INDEX message_of_member ON public.message USING btree (account_id, member_id, created_at DESC, id DESC) WHERE (member_id IS NOT NULL);
CREATE INDEX message_to_deliver ON public.message USING btree (account_id, endpoint_id, next_attempt_at) WHERE ((endpoint_id IS NOT NULL) AND (status = ANY (ARRAY['waiting'::text, 'sending'::text, 'unknown'::text])));
CREATE INDEX message_to_send ON public.message USING btree (next_attempt_at) WHERE (status = ANY (ARRAY['waiting'::text, 'sending'::text, 'unknown'::text]));
CREATE INDEX meter_change_of_vehicle ON public.meter_change USING btree (account_id, vehicle_id, at DESC, id DESC);
CREATE INDEX next_digest_at ON public.next_digest USING btree (at);
CREATE INDEX reading_newest ON public.reading USING btree (account_id, vehicle_id, at DESC, id DESC);
CREATE INDEX reminder_newest ON public.reminder USING btree (account_id, planned_for DESC, id DESC);
CREATE INDEX reminder_of_member ON public.reminder USING btree (account_id, member_id, planned_for DESC, id DESC);
CREATE INDEX reminder_of_message ON public.reminder USING btree (account_id, message_id) WHERE (message_id IS NOT NULL);
CREATE INDEX reminder_of_task ON public.reminder USING btree (account_id, task_id) WHERE (task_id IS NOT NULL);
CREATE INDEX reminder_of_vehicle ON public.reminder USING btree (account_id, vehicle_id);
CREATE INDEX reminder_planned ON public.reminder USING btree (planned_for) WHERE ((status = ANY (ARRAY['planned'::text, 'deferred'::text])) AND (message_id IS NULL));
CREATE INDEX schedule_newest ON public.schedule USING btree (account_id, created_at DESC, id DESC);
CREATE INDEX task_likely_from ON public.task USING btree (account_id, likely_from, id) WHERE (likely_from IS NOT NULL);
CREATE INDEX task_likely_most ON public.task USING btree (account_id, likely_most, id) WHERE (likely_most IS NOT NULL);
CREATE INDEX task_of_schedule ON public.task USING btree (account_id, schedule_id) WHERE (schedule_id IS NOT NULL);
CREATE INDEX task_of_vehicle ON public.task USING btree (account_id, vehicle_id, created_at DESC, id DESC);
CREATE INDEX vehicle_disposed ON public.vehicle USING btree (account_id, created_at DESC, id DESC) WHERE (disposed_on IS NOT NULL);
CREATE INDEX vehicle_newest ON public.vehicle USING btree (account_id, created_at DESC, id DESC);
CREATE INDEX vehicle_of_kind ON public.vehicle USING btree (account_id, kind, id) WHERE (disposed_on IS NULL);
CREATE INDEX vehicle_of_member ON public.vehicle USING btree (account_id, responsible_member_id, created_at DESC, id DESC);
CREATE INDEX vehicle_of_schedule ON public.vehicle USING btree (account_id, schedule_id, created_at DESC, id DESC) WHERE (schedule_id IS NOT NULL);
CREATE INDEX vehicle_planned_by ON public.vehicle USING btree (planned_by, id);
CREATE INDEX vehicle_to_replan ON public.vehicle USING btree (replan_at) WHERE (replan_at IS NOT NULL);
CREATE INDEX webhook_endpoint_newest ON public.webhook_endpoint USING btree (account_id, created_at DESC, id DESC);
CREATE INDEX work_record_newest ON public.work_record USING btree (account_id, vehicle_id, done_at DESC, id DESC);
CREATE INDEX work_task_of_task ON public.work_task USING btree (account_id, task_id);
CREATE UNIQUE INDEX import_external_id ON public.import USING btree (account_id, external_id) WHERE ((external_id IS NOT NULL) AND (status = 'applied'::text));
CREATE UNIQUE INDEX member_external_id ON public.member USING btree (account_id, external_id) WHERE (external_id IS NOT NULL);
CREATE UNIQUE INDEX member_owner ON public.member USING btree (account_id) WHERE (role = 'owner'::text);
CREATE UNIQUE INDEX reading_external_id ON public.reading USING btree (account_id, external_id) WHERE (external_id IS NOT NULL);
CREATE UNIQUE INDEX schedule_external_id ON public.schedule USING btree (account_id, external_id) WHERE (external_id IS NOT NULL);
CREATE UNIQUE INDEX task_of_line ON public.task USING btree (account_id, vehicle_id, schedule_line) WHERE (schedule_line IS NOT NULL);
CREATE UNIQUE INDEX vehicle_external_id ON public.vehicle USING btree (account_id, external_id) WHERE (external_id IS NOT NULL);
CREATE UNIQUE INDEX work_record_external_id ON public.work_record USING btree (account_id, external_id) WHERE (external_id IS NOT NULL);

alter table account enable row level security, force row level security;
alter table allowed_origin enable row level security, force row level security;
alter table api_key enable row level security, force row level security;
alter table audit enable row level security, force row level security;
alter table calendar_feed enable row level security, force row level security;
alter table deleted_account enable row level security, force row level security;
alter table event enable row level security, force row level security;
alter table idempotency enable row level security, force row level security;
alter table import enable row level security, force row level security;
alter table import_row enable row level security, force row level security;
alter table lay_up enable row level security, force row level security;
alter table link_use enable row level security, force row level security;
alter table member enable row level security, force row level security;
alter table message enable row level security, force row level security;
alter table meter_change enable row level security, force row level security;
alter table next_digest enable row level security, force row level security;
alter table rate_count enable row level security, force row level security;
alter table reading enable row level security, force row level security;
alter table relay enable row level security, force row level security;
alter table reminder enable row level security, force row level security;
alter table schedule enable row level security, force row level security;
alter table task enable row level security, force row level security;
alter table vehicle enable row level security, force row level security;
alter table webhook_endpoint enable row level security, force row level security;
alter table work_record enable row level security, force row level security;
alter table work_task enable row level security, force row level security;
alter table worker_position enable row level security, force row level security;

create policy asking_origin on allowed_origin for select using (origin = ( SELECT NULLIF(current_setting('forewheel.origin'::text, true), ''::text) AS "nullif"));
create policy everybody_counts on rate_count for all using true with check true;
create policy member_of_presented_key on member for select using ((( SELECT NULLIF(current_setting('forewheel.key'::text, true), ''::text) AS "nullif") IS NOT NULL) AND (EXISTS ( SELECT
   FROM api_key k
  WHERE ((k.account_id = member.account_id) AND (k.member_id = member.id) AND (k.public_id = ( SELECT NULLIF(current_setting('forewheel.key'::text, true), ''::text) AS "nullif"))))));
create policy own_account on account for all using (id = ( SELECT current_account() AS current_account)) with check (id = ( SELECT current_account() AS current_account));
create policy own_account on allowed_origin for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on api_key for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on calendar_feed for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on deleted_account for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on event for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on idempotency for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on import for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on import_row for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on lay_up for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on link_use for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on member for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on message for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on meter_change for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on next_digest for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on reading for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on reminder for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on schedule for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on task for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on vehicle for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on webhook_endpoint for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on work_record for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy own_account on work_task for all using (account_id = ( SELECT current_account() AS current_account)) with check (account_id = ( SELECT current_account() AS current_account));
create policy presented_key on api_key for select using (public_id = ( SELECT NULLIF(current_setting('forewheel.key'::text, true), ''::text) AS "nullif"));
create policy worker_clears on api_key for all using ( SELECT across_accounts() AS across_accounts);
create policy worker_clears on idempotency for all using ( SELECT across_accounts() AS across_accounts);
create policy worker_follows on event for select using ( SELECT across_accounts() AS across_accounts);
create policy worker_follows on webhook_endpoint for all using ( SELECT across_accounts() AS across_accounts) with check ( SELECT across_accounts() AS across_accounts);
create policy worker_gathers on message for all using ( SELECT across_accounts() AS across_accounts) with check ( SELECT across_accounts() AS across_accounts);
create policy worker_gathers on next_digest for all using ( SELECT across_accounts() AS across_accounts) with check ( SELECT across_accounts() AS across_accounts);
create policy worker_gathers on reminder for all using ( SELECT across_accounts() AS across_accounts) with check ( SELECT across_accounts() AS across_accounts);
create policy worker_keeps on audit for all using ( SELECT across_accounts() AS across_accounts) with check ( SELECT across_accounts() AS across_accounts);
create policy worker_keeps on relay for all using ( SELECT across_accounts() AS across_accounts) with check ( SELECT across_accounts() AS across_accounts);
create policy worker_keeps on worker_position for all using ( SELECT across_accounts() AS across_accounts) with check ( SELECT across_accounts() AS across_accounts);
create policy worker_reads on account for select using ( SELECT across_accounts() AS across_accounts);
create policy worker_reads on vehicle for select using ( SELECT across_accounts() AS across_accounts);

CREATE OR REPLACE FUNCTION public.across_accounts()  RETURNS boolean  LANGUAGE sql  STABLE PARALLEL SAFE RETURN (COALESCE(current_setting('forewheel.scope'::text, true), ''::text) = 'worker'::text);
CREATE OR REPLACE FUNCTION public.current_account()  RETURNS uuid  LANGUAGE sql  STABLE PARALLEL SAFE RETURN (NULLIF(current_setting('forewheel.account'::text, true), ''::text))::uuid;
CREATE OR REPLACE FUNCTION public.require_account()  RETURNS trigger  LANGUAGE plpgsql AS $function$ begin   perform from account where id = new.account_id for key share;   if not found then     raise foreign_key_violation using       message = 'the account of this row was deleted',       constraint = tg_table_name || '_account_id_fkey';   end if;   return null; end $function$;

CREATE CONSTRAINT TRIGGER idempotency_of_account AFTER INSERT ON public.idempotency DEFERRABLE INITIALLY DEFERRED FOR EACH ROW WHEN ((new.account_id <> '00000000-0000-0000-0000-000000000000'::uuid)) EXECUTE FUNCTION require_account();

grant delete, insert, select, update on account to forewheel_app;
grant delete, insert, select, update on allowed_origin to forewheel_app;
grant delete, insert, select, update on api_key to forewheel_app;
grant delete, insert, select, update on audit to forewheel_app;
grant delete, insert, select, update on calendar_feed to forewheel_app;
grant delete, insert, select, update on deleted_account to forewheel_app;
grant delete, insert, select, update on event to forewheel_app;
grant delete, insert, select, update on idempotency to forewheel_app;
grant delete, insert, select, update on import to forewheel_app;
grant delete, insert, select, update on import_row to forewheel_app;
grant delete, insert, select, update on lay_up to forewheel_app;
grant delete, insert, select, update on link_use to forewheel_app;
grant delete, insert, select, update on member to forewheel_app;
grant delete, insert, select, update on message to forewheel_app;
grant delete, insert, select, update on meter_change to forewheel_app;
grant delete, insert, select, update on next_digest to forewheel_app;
grant delete, insert, select, update on rate_count to forewheel_app;
grant delete, insert, select, update on reading to forewheel_app;
grant delete, insert, select, update on relay to forewheel_app;
grant delete, insert, select, update on reminder to forewheel_app;
grant delete, insert, select, update on schedule to forewheel_app;
grant delete, insert, select, update on task to forewheel_app;
grant delete, insert, select, update on vehicle to forewheel_app;
grant delete, insert, select, update on webhook_endpoint to forewheel_app;
grant delete, insert, select, update on work_record to forewheel_app;
grant delete, insert, select, update on work_task to forewheel_app;
grant delete, insert, select, update on worker_position to forewheel_app;

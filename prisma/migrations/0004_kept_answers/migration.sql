-- A kept answer goes with its account. No foreign key says so, since the operator's answers stand under
-- the nil UUID: a request that writes nothing else of an account which is deleted meanwhile would leave
-- its answer behind.
create function require_account() returns trigger
  language plpgsql
  as $$
begin
  perform from account where id = new.account_id for key share;
  if not found then
    raise foreign_key_violation using
      message = 'the account of this row was deleted',
      constraint = tg_table_name || '_account_id_fkey';
  end if;
  return null;
end
$$;

-- At the commit, when schedules and machines are locked: the account comes after them.
create constraint trigger idempotency_of_account after insert on idempotency
  deferrable initially deferred for each row
  when (new.account_id <> '00000000-0000-0000-0000-000000000000')
  execute function require_account();

/** How the generated client calls unless its user says otherwise. */
export default {
  config: {
    // Each POST carries a key of its own, so that it can be sent again without being done twice.
    idempotencyKey: true,
    // Waits as long as `Retry-After` says.
    retry: { retries: 3 },
    timeout: 30_000,
    clientHeader: false,
  },
};

// The run log's records in their ring.
enum { EVERY_US = LOG_EVERY_MS * 1000, AFTER_US = 500000, RUN_UNIT_US = 10000 };
/** Parts of 2^18, rounded up: exact for 16 bits while the result stays under 256. */
enum { FIFTH = 52429, TENTH = 26215, FIFTIETH = 5243 };

static u8 small(u32 value, u32 part) { return (u8)least((value * part) >> 18, 255); }

static void note_measured(void) {
  measured.bottle = small(live.bottleKpaGauge, FIFTIETH);
  measured.fuel = small(live.fuelDeciKpaGauge, FIFTIETH);
  measured.lambda = small(live.milliLambda, TENTH);
  measured.battery = small(live.batteryMv >> 1, FIFTIETH);
  measured.throttle = small(live.throttlePermille, FIFTH);
  for (u32 s = 0; s < STAGES; s++) measured.share[s] = small(live.sharePermille[s], FIFTH);
  measured.retard = (u8)least(live.retardDeciDeg >> 1, 255);
  measured.engine = live.engineRpm;
  measured.road = live.roadDeciKmh;
  measured.manifold = live.manifoldDeciKpa;
}

static void put_record(void) {
  struct record *r = &log_ring[recorder.place];
  *r = measured;
  r->time = (u16)least(recorder.run_us / RUN_UNIT_US, UINT16_MAX);
  r->reasons_low = (u16)live.reasons;
  r->reasons_high = (u16)(live.reasons >> 16);
  r->switches = (u8)inputs.switches;
  r->mode = live.mode;
  r->trip = live.trip;
  r->outputs = (u8)outputs.flags;
  recorder.written++;
  recorder.place = recorder.place + 1 == LOG_RECORDS ? 0 : recorder.place + 1;
}

static void record_run(void) {
  if (m.mode == MODE_ARMING && recorder.last_mode != MODE_ARMING)
    recorder = (struct recorder){.phase = 1, .last_mode = recorder.last_mode};
  if (recorder.phase == 1) {
    recorder.run_us += m.dt_us;
    recorder.rest_us += m.dt_us;
    bool due = recorder.rest_us >= EVERY_US;
    if (due) recorder.rest_us -= EVERY_US;
    if (due || recorder.last_mode != m.mode) put_record();
    recorder.after_us = is_armed() ? 0 : recorder.after_us + m.dt_us;
    if (recorder.after_us > AFTER_US) recorder.phase = 2;
  }
  recorder.last_mode = m.mode;
}

// Drain voltage of each driver against its pin.
enum { CONDUCTING_MV = 1200, CONDUCTING = CONDUCTING_MV / SUPPLY_MV_PER_CODE, LOADED = 4500 / SUPPLY_MV_PER_CODE };
enum { DRIVER_TURNS = 4, SHORTED = 1, OPEN_LOAD = 2, STUCK = 3 };

static u32 wrong(u32 channel, u32 level) {
  u32 drain = inputs.adcB[channel];
  if (level) return drain > LOADED ? STUCK : 0;
  if (drain >= LOADED) return 0;
  return drain < CONDUCTING ? SHORTED : OPEN_LOAD;
}

static u32 fault_of(u32 channel, u32 what) { return (channel + 1) << 8 | what; }

static u32 drivers_at_rest(void) {
  for (u32 channel = 0; channel < 2 * STAGES; channel++) {
    u32 what = m.solenoids & BIT(channel) ? wrong(channel, 0) : 0;
    if (what) return fault_of(channel, what);
  }
  return 0;
}

/** Counts at each level by itself, four bits each. */
static bool lasting(u8 *counter, u32 level, bool seen) {
  u32 before = *counter;
  if (!seen && !before) return false;
  u32 shift = level * 4;
  u32 turns = seen ? (before >> shift & 15) + 1 : 0;
  *counter = (u8)((before & (level ? 0x0f : 0xf0)) | turns << shift);
  return turns >= DRIVER_TURNS;
}

static void watch_driver(u32 channel) {
  if (!(m.solenoids & BIT(channel))) return;
  u32 level = inputs.solenoidPins >> channel & 1;
  u32 what = wrong(channel, level);
  if (lasting(&driver_turns[channel], level, what)) lock_out(LOCK_DRIVER, fault_of(channel, what));
}

static void watch_drivers(void) {
  bool lost = m.supply_mv < CONDUCTING_MV;
  if (m.turn == 0 && lasting(&supply_turns, 0, lost)) lock_out(LOCK_KEEP_ALIVE, m.supply_mv);
  if (lost) return;
  watch_driver(2 * m.turn);
  watch_driver(2 * m.turn + 1);
}

static void forget_drivers(void) {
  memset(driver_turns, 0, sizeof driver_turns);
  supply_turns = 0;
}

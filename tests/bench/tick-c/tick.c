// The whole tick of the control core once more, by hand, in C: the same arithmetic, without WebAssembly's memory and checks.
// It is what the core's cycles are held against, and it is compared with the core tick by tick.
#include "tick.h"

#include "prepare.c"
#include "measure.c"
#include "arm.c"
#include "windows.c"
#include "speed.c"
#include "reasons.c"
#include "drivers.c"
#include "trips.c"
#include "ramps.c"
#include "patterns.c"
#include "stages.c"
#include "bottle.c"
#include "outputs.c"
#include "log.c"

enum { LONGEST_TICK_US = 20000 };

/** Start after a reset with `settings` in force. */
void start(void) {
  m.trip = LOCK_NONE;
  m.boot_hold = bottle_hold.holds = 1;
  m.settings_valid = 1;
  prepare();
}

static void pass_time(u32 now_us) {
  m.dt_us = least(now_us - m.now_us, LONGEST_TICK_US);
  m.now_us = now_us;
  m.turn = (m.turn + 1) & 3;
  m.round_sum_us += m.dt_us;
  if (m.turn) return;
  m.round_us = m.round_sum_us;
  m.round_sum_us = 0;
}

void tick(u32 now_us) {
  pass_time(now_us);
  m.ran = outputs.runs;
  memset(outputs.pulse, 0, sizeof outputs.pulse);
  outputs.runs = 0;
  bool sensors_good = measure();
  bool adc_good = converters_live();
  follow_arm(adc_good);
  judge_trips(sensors_good, adc_good);
  judge_reasons(sensors_good, adc_good);
  u32 flowing = run_stages();
  follow_gaps();
  put_try();
  put_outputs(flowing, sensors_good && adc_good);
  put_live(flowing);
  record_run();
}

// The tick in plain C: what it remembers, and the small helpers that all of its parts use.
#ifndef TICK_H
#define TICK_H

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "board/generated/schema.h"
#include "generated.h"

typedef uint8_t u8;
typedef uint16_t u16;
typedef uint32_t u32;
typedef int32_t i32;

#define BIT(n) (1u << (n))
#define SETTING(offset) ((u32)settings[(offset) / 2])
/** A word of the settings of a stage. */
#define OF_STAGE(at, offset) ((u32)(at)[(offset) / 2])

enum { GEARS = 8, WINDOW_KINDS = 4, LEAD_SLOTS = 128, LEAD_SLOT_MS = 8 };

/** What is inside a window now: the lowest value, and how far it goes up from there. */
struct bounds {
  u32 low, width;
};

struct stage {
  i32 share_x32, asked_x32;
  u32 asked_flow;
  u32 wanted, wanted_flow, periods, period, flow, nitrous_run, fuel_run, phase, was_open, holds_open, was_shut, shut_us;
  u32 wet, nitrous_opening, fuel_opening, slower_opening, quicker_opening, nitrous_closing, fuel_closing, least_flowing;
  u32 drawn_mv, open_ms, open_rest_us, flowed_us, unconfirmed_us, waited_us, closed, reasons, asked_from, turn_us, rise_rest;
};

struct sensor {
  u32 fitted;
  i32 zero_code, slope, base, low_code;
  u32 codes;
  i32 value;
};

struct shaft {
  u32 age_us, pulses, trust, speed, pulse_speed, factor, judged_us, judged_speed, too_fast;
  u32 even_pulses, believed_speed, misread_speed, stray_us;
};

/** A hold-off that must not hunt. */
struct hold {
  u32 holds, held_us, stops_us;
};

struct machine {
  u32 now_us, dt_us, mode, trip, trip_value, reasons, slow_reasons, settings_valid;
  u32 arm_off_us, arm_on_us, arm_ready, boot_hold, cuts_seen, noise_cuts, run_noise_cuts, armed_us;
  u32 arm_step, arm_step_us, keep_alive, clear_us, run_flowed_us, turn, round_us, round_sum_us;
  u32 flowing, sensors_good, engines_out, wet_stages, solenoids, bottle_flags, retard_steps;
  u32 throttle_in, contradict_us, lift_us, supply_apart_us, lean_us, fuel_low_turns;
  u32 launched, launch_switch, launch_ms, launch_rest_us, engine_lost_watch;
  u32 gear, battery_mv, supply_mv, sensor_bad, adc_bad, adc_rounds, adc_stale_ticks, cut_back_us;
  u32 flow_permille, retard_deci_deg, retard_since_us, retard_next, purge_us, purge_spent_us, purge_quiet_us;
  u32 heater_on, heater_us, heater_spent, valve_open_us, lamp_us, lamp_on, period_steps, pattern_periods, hushed, portions, gears;
  u32 lead_head, lead_rest_us, uneven_x64k;
  u32 ran, pins_before, gaps, high_since, gap_us, closes_slowly, opens_slowly, try_channel, tries_failed, trying, kick;
};

/** A record of the run log, packed. */
struct record {
  u16 time, reasons_low, reasons_high, engine, road, manifold;
  u8 bottle, fuel, lambda, battery, throttle, switches, mode, trip, share[STAGES], outputs, retard;
};
_Static_assert(sizeof(struct record) == LOG_RECORD_BYTES, "a record is packed");

struct recorder {
  u32 written, place, run_us, rest_us, after_us, last_mode, phase;
};

/** What goes in and out; the bench fills and reads these. */
u16 settings[SETTINGS_WORDS];
struct hg_inputs inputs;
struct hg_outputs outputs;
struct live live;
struct record log_ring[LOG_RECORDS];

static struct machine m;
static struct shaft engine, road;
static struct hold battery_hold, fuel_hold, supply_hold, bottle_hold;
static struct sensor sensors[8];
static struct stage stages[STAGES];
static struct bounds system_bounds[WINDOW_KINDS], stage_bounds[STAGES][WINDOW_KINDS];
static struct bounds all_engines;
static u32 system_left, stage_left[STAGES], engines_left;
static struct {
  u16 low, end;
} gear_bounds[GEARS + 1];
static const u16 *ramp_place[STAGES][RAMPS_PER_STAGE];
static u16 pulses[2 * STAGES];
static u16 lead_ring[LEAD_SLOTS][STAGES];
static u8 driver_doubts[2][2 * STAGES], supply_doubts, clamp_doubts[2 * STAGES];
/** Levels of the pins 2 ms apart, the newest first; those that fell a tick ago without a kick. */
static u8 pins_past[4], kick_awaited;
static struct recorder recorder;
/** What of the next records has been worked out when the live block was measured. */
static struct record measured;

static inline u32 least(u32 a, u32 b) { return a < b ? a : b; }
static inline i32 least_signed(i32 a, i32 b) { return a < b ? a : b; }

static inline u32 add_until_full(u32 value, u32 more) {
  u32 sum = value + more;
  return sum < value ? UINT32_MAX : sum;
}

/** Whole milliseconds in less than 22000 us. */
static inline u32 whole_ms(u32 us) { return (us * 67109u) >> 26; }

static inline const u16 *stage_settings(u32 s) { return &settings[(STAGES_FIRST + s * STAGES_STRIDE) / 2]; }
static inline bool is_armed(void) { return m.mode == MODE_ARMED || m.mode == MODE_FLOWING; }
static inline bool is_up(void) { return is_armed() || m.mode == MODE_ARMING; }

#endif

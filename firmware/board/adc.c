// SPI0: one round over both MCP3208 and the 74HC165 between them, a slot of four 6-bit frames each, moved on by the
// receive interrupt. A round that is not finished is never read and never restarted.
#include "board.h"

#define CHANNELS 8u
#define REGISTER_SLOT 8u
#define SLOTS 17u
#define FRAME_BITS 6u
// 125 MHz / 126 = 992 kHz, under the 1 MHz that an MCP3208 takes at its lowest supply.
#define CLOCK_PRESCALE 126u
#define SELECT_A (1u << HG_PIN_ADC_A_SELECT)
#define SELECT_B (1u << HG_PIN_ADC_B_SELECT)
// 24 clocks: five zeros, start, single-ended, channel (3), two idle, then the answer: bit 12 the null bit, 11 to 0 the code.
#define COMMAND_FIRST_FRAME 0x01u
#define COMMAND_SECOND_FRAME(channel) (0x20u | (channel) << 2)
#define CODE_BITS 0xfffu
#define NULL_BIT (1u << 12)
// The register sends its 8 inputs, H first, then its serial input; H and the serial input are tied high.
#define REGISTER_SHIFT 16
#define REGISTER_TAIL 0xffffu
#define REGISTER_H (1u << 7)
#define SLOW_SWITCH_BITS 0xfu
#define FIRST_SLOW_SWITCH HG_SWITCH_PURGE
_Static_assert(HG_SWITCH_HEATER == FIRST_SLOW_SWITCH << 1 && HG_SWITCH_BOTTLE_VALVE == FIRST_SLOW_SWITCH << 2 &&
                   HG_SWITCH_ENRICH == FIRST_SLOW_SWITCH << 3,
               "slow switches follow each other as in the register");

static uint32_t answers[SLOTS];
// The slot under way; SLOTS once a round is finished, IDLE once it has been taken.
#define IDLE (SLOTS + 1u)
static volatile uint32_t slot = IDLE;
static uint32_t rounds;
static uint32_t slow_switches;

void spi0_isr(void);

static inline void begin_slot(uint32_t now) {
  uint32_t command = 0;
  if (now != REGISTER_SLOT) {
    REG(SIO_GPIO_OUT_CLEAR) = now < REGISTER_SLOT ? SELECT_A : SELECT_B;
    command = COMMAND_SECOND_FRAME((now < REGISTER_SLOT ? now : now - 1u) % CHANNELS);
  }
  REG(SPI_DR) = COMMAND_FIRST_FRAME;
  REG(SPI_DR) = command;
  REG(SPI_DR) = 0;
  REG(SPI_DR) = 0;
}

// Four frames are in: the slot is over.
void spi0_isr(void) {
  REG(SIO_GPIO_OUT_SET) = SELECT_A | SELECT_B;
  uint32_t answer = REG(SPI_DR);
  answer = answer << FRAME_BITS | REG(SPI_DR);
  answer = answer << FRAME_BITS | REG(SPI_DR);
  answer = answer << FRAME_BITS | REG(SPI_DR);
  uint32_t done = slot;
  answers[done] = answer;
  slot = ++done;
  if (done < SLOTS) begin_slot(done);
}

void adc_start(void) {
  REG(SPI_CR1) = 0;
  REG(SPI_CPSR) = CLOCK_PRESCALE;
  REG(SPI_CR0) = FRAME_BITS - 1u;
  REG(SPI_CR1) = SPI_CR1_ENABLE;
  REG(SPI_IMSC) = SPI_INT_RX_HALF;
  irq_enable(IRQ_SPI0, 2);
}

void adc_begin_round(void) {
  if (slot <= SLOTS) return;
  slot = 0;
  begin_slot(0);
}

// Codes of one ADC into the inputs. Returns one bit for each channel without its null bit.
static uint32_t take(const uint32_t *from, volatile uint16_t *to) {
  uint32_t missing = 0;
  for (uint32_t channel = 0; channel < CHANNELS; channel++) {
    uint32_t answer = from[channel];
    to[channel] = answer & CODE_BITS;
    if (answer & NULL_BIT) missing |= 1u << channel;
  }
  return missing;
}

// A register that does not answer reads as all switches open.
static uint32_t take_switches(uint32_t answer) {
  uint32_t bits = answer >> REGISTER_SHIFT;
  if (!(bits & REGISTER_H) || (answer & REGISTER_TAIL) != REGISTER_TAIL) return 0;
  return (bits & SLOW_SWITCH_BITS) * FIRST_SLOW_SWITCH;
}

// Copies a finished round into the inputs, else leaves the last one. Returns the slow switches as bits of Inputs.switches.
uint32_t adc_fill(void) {
  volatile struct hg_inputs *inputs = CORE_INPUTS;
  if (slot != SLOTS) return slow_switches;
  slot = IDLE;
  uint32_t missing = take(answers, inputs->adcA);
  inputs->adcMissing = missing | take(answers + REGISTER_SLOT + 1u, inputs->adcB) << CHANNELS;
  inputs->adcRounds = ++rounds;
  slow_switches = take_switches(answers[REGISTER_SLOT]);
  return slow_switches;
}

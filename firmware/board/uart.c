// UART0: 8N1, FIFOs on, interrupts both ways. Bytes wait in a ring until the core takes them; one that finds no room is
// counted. Framing and break errors arrive as odd bytes, which the link's CRC sorts out.
#include "board.h"

#define DEFAULT_BAUD 115200u
#define LOWEST_BAUD 1200u
#define HIGHEST_BAUD 4000000u
#define RING_BYTES 1024u
// The divider counts in 64ths of sixteen clocks.
#define DIVIDER_PER_CLOCK 4u
#define FRACTION_BITS 6u
// Between disabling the UART and writing LCR_H: a frame under way must end (the chip maker's own code waits as long).
#define REST_BITS 15u

static uint8_t ring[RING_BYTES];
volatile uint32_t uart_head, uart_tail;
static volatile uint32_t lost;
static const uint8_t *send_from;
static volatile uint32_t send_left;
// Speed in force, 0 before the first; while it rests, since when.
static uint32_t speed, rests_since_us;
static bool resting;

void uart0_isr(void);

// Disables the UART; true once it has rested for long enough at the speed that it had.
static bool rested(void) {
  if (!resting) {
    resting = true;
    rests_since_us = now_us();
    REG(UART_CR) = 0;
  }
  return !speed || now_us() - rests_since_us > REST_BITS * 1000000u / speed + 1u;
}

// To be called again until it returns true: at 9600 baud the UART rests for longer than a tick. The divider is latched by
// the write of LCR_H. Out of range: a board assertion.
bool uart_set_baud(uint32_t baud) {
  if (baud < LOWEST_BAUD || baud > HIGHEST_BAUD) board_trap();
  if (!rested()) return false;
  uint32_t divider = (CLOCK_HZ * DIVIDER_PER_CLOCK + baud / 2u) / baud;
  REG(UART_IBRD) = divider >> FRACTION_BITS;
  REG(UART_FBRD) = divider & ((1u << FRACTION_BITS) - 1u);
  REG(UART_LCR_H) = UART_LCR_8_BITS | UART_LCR_FIFOS;
  REG(UART_CR) = UART_CR_ON;
  speed = baud;
  resting = false;
  return true;
}

void uart_start(void) {
  uart_set_baud(DEFAULT_BAUD);
  REG(UART_IMSC) = UART_INT_RX | UART_INT_RX_TIMEOUT;
  irq_enable(IRQ_UART0, 3);
}

static void fill_transmitter(void) {
  while (send_left && !(REG(UART_FR) & UART_FR_TX_FULL)) {
    REG(UART_DR) = *send_from++;
    send_left--;
  }
  if (!send_left) REG(UART_IMSC) = UART_INT_RX | UART_INT_RX_TIMEOUT;
}

static void empty_receiver(void) {
  while (!(REG(UART_FR) & UART_FR_RX_EMPTY)) {
    uint8_t byte = (uint8_t)REG(UART_DR);
    if (uart_head - uart_tail < RING_BYTES) {
      ring[uart_head++ % RING_BYTES] = byte;
    } else {
      lost++;
    }
  }
}

void uart0_isr(void) {
  empty_receiver();
  if (send_left) fill_transmitter();
}

// Moves what was received to the core's receive buffer, up to the zero that ends a frame and as much as there is room
// for: the core answers one frame at a time. Returns the number of bytes.
uint32_t uart_take(void) {
  uint8_t *to = CORE_AT(HG_LINK_RX_ADDRESS);
  uint32_t count = 0;
  while (count < HG_LINK_RX_ROOM && uart_received()) {
    uint8_t byte = ring[uart_tail++ % RING_BYTES];
    to[count++] = byte;
    if (!byte) break;
  }
  return count;
}

bool uart_transmitter_free(void) { return send_left == 0; }

bool uart_transmitter_empty(void) { return send_left == 0 && !(REG(UART_FR) & UART_FR_BUSY); }

// The transmit interrupt comes when the FIFO falls to half, so the first bytes are put in here.
void uart_send(const uint8_t *from, uint32_t count) {
  send_from = from;
  send_left = count;
  REG(UART_IMSC) = 0;
  fill_transmitter();
  REG(UART_IMSC) = UART_INT_RX | UART_INT_RX_TIMEOUT | (send_left ? UART_INT_TX : 0);
}

uint32_t uart_lost(void) { return lost; }

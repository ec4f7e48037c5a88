// What the control core may ask of the board. A new line speed and a restart wait until the answer has left.
#include "board.h"

struct w2c_board;
void w2c_board_flashRead(struct w2c_board *, uint32_t offset, uint32_t address, uint32_t length);
void w2c_board_flashErase(struct w2c_board *, uint32_t offset);
void w2c_board_flashProgram(struct w2c_board *, uint32_t offset, uint32_t address);
void w2c_board_setBaud(struct w2c_board *, uint32_t baud);
void w2c_board_restart(struct w2c_board *, uint32_t into_bootloader);

enum wish { NOTHING, PROGRAM, BOOTLOADER };
static enum wish restart_wish;
static uint32_t baud_wish;

void w2c_board_flashRead(struct w2c_board *board, uint32_t offset, uint32_t address, uint32_t length) {
  (void)board;
  flash_read(offset, address, length);
}

void w2c_board_flashErase(struct w2c_board *board, uint32_t offset) {
  (void)board;
  flash_erase_sector(offset);
}

void w2c_board_flashProgram(struct w2c_board *board, uint32_t offset, uint32_t address) {
  (void)board;
  flash_program_page(offset, address);
}

void w2c_board_setBaud(struct w2c_board *board, uint32_t baud) {
  (void)board;
  baud_wish = baud;
}

void w2c_board_restart(struct w2c_board *board, uint32_t into_bootloader) {
  (void)board;
  restart_wish = into_bootloader ? BOOTLOADER : PROGRAM;
}

bool imports_pending(void) { return baud_wish || restart_wish != NOTHING; }

static _Noreturn void restart(void) {
  interrupts_off();
  all_off();
  if (restart_wish == BOOTLOADER) rom_enter_bootloader();
  watchdog_reset(WATCHDOG_MAGIC_RESTART, 0, 0);
}

// Grants the wishes once the transmitter has sent its last bit.
void imports_finish(void) {
  if (!uart_transmitter_empty()) return;
  if (restart_wish != NOTHING) restart();
  if (uart_set_baud(baud_wish)) baud_wish = 0;
}

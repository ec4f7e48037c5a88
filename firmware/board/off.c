// Off: every output at its safe level, solenoids first. The next apply sets what the core wants.
#include "board.h"

void all_off(void) {
  stages_cut();
  pins_plain_off();
}

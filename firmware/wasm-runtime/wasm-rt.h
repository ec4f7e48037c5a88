// What the header that wasm2c writes expects of its runtime, cut down to one static memory and no tables.
#ifndef HG_WASM_RT_H
#define HG_WASM_RT_H

#include <stdbool.h>
#include <stdint.h>

// The memory is at CORE_MEMORY_BASE, so a module's memory object has nothing to say.
typedef struct {
  char unused;
} wasm_rt_memory_t;

typedef const char *wasm_rt_func_type_t;

// Ends the program: pins off, TRAP_CORE and the caller's address kept, reset. Never inlined, so that the hot path holds
// one cold call.
_Noreturn __attribute__((noinline, cold)) void wasm_trap(void);

#endif

/* SPDX-License-Identifier: MIT */
/* Files of keys: what is refused changes nothing, what is taken has its help. */
#include "fuzz.h"

#include "../../src/cli/keymap.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct keymap map, before;
    struct hf_diag diag = {0};
    char help[KEYMAP_HELP];
    keymap_init(&map);
    before = map;
    enum hf_status status = keymap_read(&map, (const char *)data, size, "fuzz.keys", &diag);
    if (status != HF_OK) {
        must_fail_well(status, HF_E_DATA, &diag);
        MUST(memcmp(&map, &before, sizeof map) == 0);
    }
    keymap_one_pedal(&map);
    keymap_help(&map, false, help);
    MUST(memchr(help, 0, sizeof help));
    return 0;
}

/* SPDX-License-Identifier: MIT */
/* Patches: what is taken sounds, without a number that is none and under the ceiling. */
#include "fuzz.h"

#include <math.h>

#include <holdfast/engine.h>
#include <holdfast/patchfile.h>

enum { RATE = 16000, BLOCK = 4000 };

static void sound(const struct hf_patch *patch)
{
    static float stereo[2 * BLOCK];
    static struct hf_patch other[2];
    struct hf_engine *engine = NULL;
    const char *names[] = {"soft-sine", "plucked-nylon"};
    for (int i = 0; i < 2; i++) {
        const char *text = hf_patchfile_find_builtin(names[i]);
        MUST(hf_patchfile_parse(text, strlen(text), names[i], &other[i], NULL) == HF_OK);
    }
    bool drone = patch->kind == HF_PATCH_DRONE;
    struct hf_engine_setting setting = {.rate_hz = RATE,
                                        .a4_mhz = 440000,
                                        .held = {.way = HF_HELD_SUSTAINED,
                                                 .rate_hz = RATE,
                                                 .a4_mhz = 440000,
                                                 .seed = 1,
                                                 .patch = drone ? *patch : other[0]},
                                        .added_patch = drone ? other[1] : *patch};
    if (hf_engine_new(&engine, &setting, NULL) != HF_OK)
        return;
    struct hf_event hold = {.kind = HF_EVENT_HOLD, .count = 3, .notes = {48, 52, 56}};
    struct hf_event cue = {
        .kind = HF_EVENT_CUE, .cue = 1, .hear = 64, .end = 3000, .count = 3, .notes = {62, 69, 75}};
    MUST(hf_engine_send(engine, &hold) && hf_engine_send(engine, &cue));
    hf_engine_render(engine, BLOCK, stereo);
    for (int i = 0; i < 2 * BLOCK; i++)
        MUST(isfinite(stereo[i]) && fabsf(stereo[i]) <= 0.5012f);
    hf_engine_free(engine);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct hf_patch patch;
    struct hf_diag diag = {0};
    enum hf_status status = hf_patchfile_parse((const char *)data, size, "fuzz.ini", &patch, &diag);
    if (status == HF_OK)
        status = hf_patchfile_fits(&patch, "fuzz.ini", RATE, &diag);
    if (status == HF_OK)
        sound(&patch);
    else
        must_fail_well(status, HF_E_DATA, &diag);
    return 0;
}

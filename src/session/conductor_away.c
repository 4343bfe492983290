/* SPDX-License-Identifier: MIT */
/* An output that is away for a while. Invariant: at most one pause is asked for on its behalf, and
 * only that one is ended again when it is back; a pause of the player's own stays the player's. */
#include "conductor_parts.h"

void hf_conductor_away(struct hf_conductor *c)
{
    if (c->away || c->lost || c->began_end)
        return;
    c->away = true;
    if (c->paused)
        return;
    conductor_ask(c, HF_EVENT_PAUSE);
    c->paused = c->away_pauses = true;
    conductor_event(c, (struct hf_event){.kind = HF_EVENT_PAUSE,
                                         .why = (int)HF_WHY_LOST,
                                         .at = HF_AT_ONCE,
                                         .after = HF_AT_ONCE});
}

void hf_conductor_back(struct hf_conductor *c)
{
    if (!c->away)
        return;
    c->away = false;
    if (!c->away_pauses)
        return;
    c->paused = c->away_pauses = false;
    conductor_command(c, HF_EVENT_RESUME);
}

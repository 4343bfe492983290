/* SPDX-License-Identifier: MIT */
/* An output that is away for a while. Invariants: at most one pause is asked for on its behalf, and
 * only that one is ended again when it is back; a pause of the player's own stays the player's. It
 * may come and go as quickly as it likes: nothing is asked for before the last pause or resume was
 * answered, so no command piles up. */
#include "conductor_parts.h"

void conductor_settle_away(struct hf_conductor *c)
{
    if (c->pauses_asked > 0 || c->lost || c->began_end)
        return;
    if (c->away && !c->paused) {
        conductor_ask(c, HF_EVENT_PAUSE);
        c->paused = c->away_pauses = true;
        conductor_event(c, (struct hf_event){.kind = HF_EVENT_PAUSE,
                                             .why = (int)HF_WHY_LOST,
                                             .at = HF_AT_ONCE,
                                             .after = HF_AT_ONCE});
    } else if (!c->away && c->away_pauses) {
        c->paused = c->away_pauses = false;
        conductor_command(c, HF_EVENT_RESUME);
    }
}

void hf_conductor_away(struct hf_conductor *c)
{
    if (c->away || c->lost || c->began_end)
        return;
    c->away = true;
    conductor_settle_away(c);
}

void hf_conductor_back(struct hf_conductor *c)
{
    c->away = false;
    conductor_settle_away(c);
}

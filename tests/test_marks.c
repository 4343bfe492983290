/* SPDX-License-Identifier: MIT */
/* Whose a mark is, where a cue sounds before it is named. derived: from the contract: got and
 * missed are of the cue told last. */
#include "check.h"

#include "player.h"

static void before_its_name_a_mark_is_of_the_cue_before(void **state)
{
    (void)state;
    hf_request_init(&request);
    set_options(&request, (const struct setting[]){{"cue", "ear"},
                                                   {"every", "3s"},
                                                   {"lead-in", "1s"},
                                                   {"seed", "1"},
                                                   {"rate", "8000"},
                                                   {NULL, NULL}});
    begin_session();
    run_to(8000 + 24000 + 6400); /* the second sounds, the first was named */
    const struct hf_timeline *t = &conductor.timeline;
    assert_int_equal(conductor.running, 2);
    assert_ok(hf_conductor_key(&conductor, HF_KEY_GOT, v.transport.now, NULL));
    assert_true(t->cues[0].marked);
    assert_false(t->cues[1].marked);
    virtual_end(&v);
    hf_conductor_deinit(&conductor);
    hf_schedule_deinit(&schedule);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(before_its_name_a_mark_is_of_the_cue_before),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

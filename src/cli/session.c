/* SPDX-License-Identifier: MIT */
/* From a command line to an engine. Invariant: nothing is opened or written before the request has
 * been found to make sense. */
#include "session.h"

#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <time.h>

#include <holdfast/chord_page.h>
#include <holdfast/number.h>
#include <holdfast/path.h>
#include <holdfast/speech.h>
#include <holdfast/version.h>

#include "saved.h"

const struct hf_cli_option hf_cli_session_options[] = {
    {"held", 0, "NOTES",
     "the notes that stay; with octaves or frets exactly that\n"
     "voicing (one of the four augmented triads: by seed, in play\n"
     "the least practised)",
     HF_OPT_HELD + 1},
    {"from", 0, "NOTES",
     "a chord from a score: its augmented triad is held exactly as\n"
     "it lies there, its own 016 comes first, in its own voicing",
     HF_OPT_FROM + 1},
    {"split", 0, "N", "which halves of --from, where it has several", CODE_SPLIT},
    {"result", 0, "CLASS", "with --from: the class that its halves make", CODE_RESULT},
    {"to", 0, "NOTES", "with --from: cue a shortest path to this chord of the same class", CODE_TO},
    {"share", 0, "N",
     "with --to: neighbours share an augmented triad (3), at least\n"
     "four notes (4) or five (5)",
     CODE_SHARE},
    {"as-written", 0, NULL, "octaves are guitar notation: they sound an octave lower",
     CODE_AS_WRITTEN},
    {"added", 0, "CLASS", "the class that is added (016)", HF_OPT_ADDED + 1},
    {"cue", 0, "WAY",
     "how a cue goes:\n"
     " lead: named and sounded at once\n"
     " confirm: named at once, sounded later (default)\n"
     " silent: named, never sounded\n"
     " ear: sounded, named later\n"
     " gap: only the perfect interval is named, the rest later\n"
     " reverse: an 016 is held; which augmented triad completes it?\n"
     "(later is two thirds of the way)",
     HF_OPT_CUE + 1},
    {"order", 0, "WAY",
     "shuffle (default), near or far by movement, ring, listed as\n"
     "complete lists them, grip: one kind through its positions;\n"
     "weak: what the journals' marks leave in doubt more often\n"
     "(play only);\n"
     "tour: the shortest walk over all grips (with --hand)",
     HF_OPT_ORDER + 1},
    {"rounds", 0, "N", "length in rounds; one is each completion once\n(2; ear: 4)",
     HF_OPT_ROUNDS + 1},
    {"for", 0, "SPAN", "length in time, lead-in included; of both the shorter", HF_OPT_FOR + 1},
    {"every", 0, "SPAN",
     "length of a cue: 25s (default), 1.5m, 8beats; wait: you say\n"
     "when (play only)",
     HF_OPT_EVERY + 1},
    {"tempo", 0, "BPM", "beats a minute, for lengths in beats", HF_OPT_TEMPO + 1},
    {"tick", 0, "WAY", "off (default) or on: the beat is heard while a cue runs", HF_OPT_TICK + 1},
    {"meter", 0, "N", "beats counted in before the first cue, in beats (4; 0: none)",
     HF_OPT_METER + 1},
    {"lead-in", 0, "SPAN", "the held notes alone before the first cue (10s)", HF_OPT_LEAD_IN + 1},
    {"register", 0, "WHERE",
     "above (default), through, below, all in turn by round, or\n"
     "LOW:HIGH as in C4:C6",
     HF_OPT_REGISTER + 1},
    {"kind", 0, "N",
     "warmup: which kind of completions, 1 or 2 of the 016's (play:\n"
     "each day the next)",
     HF_OPT_KIND + 1},
    {"day", 0, "DATE", "warmup: whose turn it is, as 2026-11-25 (play: today)", HF_OPT_DAY + 1},
    {"voicing", 0, "WAY", "any (default), close, open, or widening from round to round",
     HF_OPT_VOICING + 1},
    {"hand", 0, "NAME",
     "give each cue a shape on this instrument (guitar, bass, ...,\n"
     "or a file), or keep it within a hand at the keys: keys",
     HF_OPT_HAND + 1},
    {"hold", 0, "hand", "the held notes are in the same hand", HF_OPT_HOLD + 1},
    {"grip", 0, "WAY",
     "with --hold hand: free (default) takes the held notes anew\n"
     "where a completion needs it; fixed leaves such ones out",
     HF_OPT_GRIP + 1},
    {"reach", 0, "MM", "the longest reach of the hand, 1 to 1000 (the instrument's)",
     HF_OPT_REACH + 1},
    {"leap", 0, "MM", "the farthest the hand moves from cue to cue (any way)", HF_OPT_LEAP + 1},
    {"span", 0, "N", "with --hand keys: white keys in a hand, 2 to 15 (9)", HF_OPT_SPAN + 1},
    {"break-every", 0, "SPAN", "sound after which a break is suggested (25m), or off (play only)",
     HF_OPT_BREAK_EVERY + 1},
    {"level", 0, "N",
     "ear: 1 which kind, 2 which position in it, 3 which of all,\n"
     "4 in free registers, 5 all notes at once, 6 with the held\n"
     "notes silent; N stays, N+ begins there and moves (1+)",
     HF_OPT_LEVEL + 1},
    {"near-miss", 0, NULL, "ear: every second sound is none of the completions, but nearly",
     HF_OPT_NEAR_MISS + 1},
    {"support", 0, "WAY",
     "full (default), or fading: the drone gets softer, then sounds\n"
     "only at the start of a cue, then not at all",
     HF_OPT_SUPPORT + 1},
    {"drone", 0, "WAY",
     "sustained (default); struck: the held notes anew every\n"
     "--restrike SPAN; off",
     HF_OPT_DRONE + 1},
    {"restrike", 0, "SPAN", "0.5s to 60s between strikes of a struck drone (8s)",
     HF_OPT_RESTRIKE + 1},
    {"spread", 0, "WAY",
     "close (default) or wide: held notes given without octaves\n"
     "spread over more than one, which is easier on the ear",
     HF_OPT_SPREAD + 1},
    {"patch", 0, "NAME",
     "timbre of the held notes, or a file (stopped-pipe; struck\n"
     "drone: felt-hammer)",
     HF_OPT_PATCH + 1},
    {"cue-patch", 0, "NAME", "timbre of the added notes, or a file (plucked-nylon)",
     HF_OPT_CUE_PATCH + 1},
    {"names", 0, "WAY", "how notes are named: sharps, flats, numbers or german", HF_OPT_NAMES + 1},
    {"speak", 0, NULL, "say the names too, before the notes sound", CODE_SPEAK},
    {"speak-only", 0, NULL,
     "say all that is to be known: what to do, names, marks, breaks;\n"
     "no screen is needed",
     CODE_SPEAK_ONLY},
    {"voice", 0, "NAME", "who speaks: awb, kal, rms (default) or slt", HF_OPT_VOICE + 1},
    {"a4", 0, "HZ", "concert pitch, 380 to 480 (440)", HF_OPT_A4 + 1},
    {"tuning", 0, "WAY",
     "equal (default), or pure: the thirds on both sides of the\n"
     "lowest note of an augmented triad pure (frets are equal)",
     HF_OPT_TUNING + 1},
    {"room", 0, "DB", "more or less reverberation, -60 (none) to 6 (0)", HF_OPT_ROOM + 1},
    {"volume", 0, "DB", "-40 to 0 (0: the held notes at -26 LUFS)", HF_OPT_VOLUME + 1},
    {"seed", 0, "N", "everything random comes from it (from the system)", HF_OPT_SEED + 1},
    {"rate", 0, "HZ", "samples a second, 8000 to 192000 (48000; play: the output's)",
     HF_OPT_RATE + 1},
    {"label", 0, "TEXT", "for whom or what; kept in the journal", HF_OPT_LABEL + 1},
    {NULL, 0, NULL, NULL, 0},
};

const struct hf_cli_option hf_cli_record_options[] = {
    {"journal", 0, "FILE", "where the record goes", CODE_JOURNAL},
    {"dry-run", 0, NULL, "print the timeline, write the journal if asked, make no sound",
     CODE_DRY_RUN},
    {NULL, 0, NULL, NULL, 0},
};

enum hf_status session_option(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct session *s = self;
    switch (code) {
    case CODE_OUTPUT_FILE:
        s->file = text;
        return HF_OK;
    case CODE_JOURNAL:
        s->journal = text;
        return HF_OK;
    case CODE_AS_WRITTEN: /* taken by look_ahead */
        return HF_OK;
    case CODE_SAVE: /* taken by look_ahead */
        return HF_OK;
    case CODE_DRY_RUN:
        s->dry_run = true;
        return HF_OK;
    case CODE_STEMS:
    case CODE_TRACKS:
    case CODE_CAPTIONS:
    case CODE_TIMES:
    case CODE_FORMATS:
        takeaway_option(&s->takeaway, code, text);
        return HF_OK;
    case CODE_PLAIN:
        s->plain = true;
        return HF_OK;
    case CODE_SPEAK:
        return hf_request_set(&s->request, HF_OPT_SPEAK, "names", diag);
    case CODE_SPEAK_ONLY:
        return hf_request_set(&s->request, HF_OPT_SPEAK, "all", diag);
    case CODE_SYNTH:
        s->synth = true;
        return HF_OK;
    case CODE_OUTPUT:
        s->output = text;
        return HF_OK;
    case CODE_KEYS:
        s->keys_file = text;
        return HF_OK;
    case CODE_ONE_PEDAL:
        s->one_pedal = true;
        return HF_OK;
    case CODE_RESULT:
        return hf_setclass_parse(text, &s->result, diag);
    case CODE_SPLIT:
        if (hf_number_whole(text, strlen(text), 1, HF_CHORD_SPLITS_MOST, &s->split) ==
            HF_NUMBER_FINE)
            return HF_OK;
        return hf_fail(diag, HF_E_USAGE, "split \"%.60s\" is not a whole number from 1 to %d", text,
                       HF_CHORD_SPLITS_MOST);
    case CODE_TO:
        return hf_notes_parse(text, &(struct hf_notes_how){.as_written = s->request.as_written},
                              &s->to, diag);
    case CODE_WHY:
        s->why = true;
        return HF_OK;
    case CODE_SHARE:
        if (hf_number_whole(text, strlen(text), 3, 5, &s->share) == HF_NUMBER_FINE)
            return HF_OK;
        return hf_fail(diag, HF_E_USAGE, "share \"%.60s\" is not 3, 4 or 5", text);
    case CODE_TELL:
        s->tell = true;
        return HF_OK;
    case CODE_LATENCY:
        if (hf_number_real(text, strlen(text), 1, 5000, &s->latency_ms) == HF_NUMBER_FINE)
            return HF_OK;
        return hf_fail(diag, HF_E_USAGE, "latency \"%.60s\" is not a number from 1 to 5000 ms",
                       text);
    default:
        return hf_request_set(&s->request, (enum hf_option)(code - 1), text ? text : "yes", diag);
    }
}

/* How octaves are read must be known before the first note is, wherever --as-written stands; and
 * what the command line says of the held notes, before a saved session does. */
static enum hf_status look_ahead(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct session *s = self;
    (void)diag;
    s->request.as_written = s->request.as_written || code == CODE_AS_WRITTEN;
    s->beside_held = s->beside_held || code == HF_OPT_HELD + 1;
    s->beside_from = s->beside_from || code == HF_OPT_FROM + 1;
    s->save = code == CODE_SAVE ? text : s->save;
    return HF_OK;
}

/* Every chord of the path parted as the first one was. */
static enum hf_status take_path(struct session *s, const struct hf_chord_split *split,
                                struct hf_diag *diag)
{
    struct hf_request *r = &s->request;
    hf_pcset from = r->from.set, path[HF_SETCLASS_FORMS];
    if (split->rest)
        return hf_fail(diag, HF_E_USAGE,
                       "--to leads from a whole chord: its split leaves notes out");
    enum hf_status status = hf_path_explain(from, s->to.set, (enum hf_path_share)s->share, diag);
    if (status != HF_OK)
        return status;
    r->legs = hf_path_find(from, s->to.set, (enum hf_path_share)s->share, path);
    struct hf_chord_wish wish = {
        .held = hf_setclass_of(split->held), .added = hf_setclass_of(split->added), .whole = true};
    r->leg[0] = (struct hf_request_leg){split->held, split->added};
    for (int i = 1; i < r->legs; i++) {
        struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
        if (hf_chord_splits(path[i], &wish, splits) == 0)
            return hf_fail(diag, HF_E_BUG, "a chord of the path does not split as the first does");
        r->leg[i] = (struct hf_request_leg){splits[0].held, splits[0].added};
    }
    printf("Path      %d chords of %s\n", r->legs, hf_setclass_of(from)->name);
    return HF_OK;
}

/* The chord of --from parted in two, told on stdout; without one nothing. */
static enum hf_status take_chord(struct session *s, struct hf_diag *diag)
{
    struct hf_request *r = &s->request;
    if (!r->given[HF_OPT_FROM])
        return !s->result && !s->split && !s->to.count && !s->share
                   ? HF_OK
                   : hf_fail(diag, HF_E_USAGE,
                             "--result, --split, --to and --share go with --from");
    if (r->given[HF_OPT_HELD])
        return hf_fail(diag, HF_E_USAGE, "--from says what is held: leave out --held");
    enum hf_status status = hf_notes_place(&r->from, diag);
    if (status != HF_OK)
        return status;
    struct hf_chord_wish wish =
        hf_chord_wish_of(r->given[HF_OPT_ADDED] ? r->added : NULL, s->result);
    struct hf_chord_split split;
    status = hf_chord_choose(&r->from, &wish, (int)s->split, HF_NAMES_SIMPLE, &split, diag);
    if (status != HF_OK)
        return status;
    struct hf_notes held = hf_chord_part(&r->from, split.held);
    struct hf_notes added = hf_chord_part(&r->from, split.added);
    status = hf_request_split(r, &held, &added, diag);
    return status == HF_OK && s->to.count ? take_path(s, &split, diag) : status;
}

/* Notes in place of a practice: what the queries take bare has an option here. */
static void suggest_held(const char *text, struct hf_diag *diag)
{
    struct hf_notes notes;
    size_t used = diag ? strlen(diag->advice) : 0;
    if (used > 0)
        snprintf(diag->advice + used, sizeof diag->advice - used,
                 "; or a session kept with --save");
    if (hf_notes_parse(text, NULL, &notes, NULL) == HF_OK && notes.count > 0)
        hf_advise(diag, "to hold these notes: --held \"%.80s\"", text);
}

enum hf_status session_operands(struct session *s, const struct hf_cli_command *command, int argc,
                                char **argv, int *first, bool *stop, struct hf_diag *diag)
{
    memset(s, 0, sizeof *s);
    hf_request_init(&s->request);
    return hf_cli_parse(command, argc, argv, look_ahead, s, first, stop, diag);
}

/* What the command line says of the held notes stands for all that a saved session says of them. */
bool session_overrules(const struct session *s, int code)
{
    bool of_chord = code == HF_OPT_FROM + 1 || code == CODE_SPLIT || code == CODE_RESULT ||
                    code == CODE_TO || code == CODE_SHARE;
    return (s->beside_held && of_chord) || (s->beside_from && code == HF_OPT_HELD + 1);
}

static enum hf_status take_saved(struct session *s, const char *name, struct hf_diag *diag)
{
    s->saved = calloc(1, sizeof *s->saved);
    if (!s->saved)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    enum hf_status status = saved_read(name, s->saved, diag);
    s->request.as_written |= status == HF_OK && saved_text(s->saved, CODE_AS_WRITTEN) != NULL;
    for (int i = 0; status == HF_OK && i < s->saved->count; i++) {
        const struct saved_option *option = &s->saved->options[i];
        if (session_overrules(s, option->option->code))
            continue;
        status = session_option(s, option->option->code, option->text, diag);
        if (status == HF_E_USAGE)
            status = saved_blame(s->saved, i, diag);
    }
    return status;
}

enum hf_status session_read_as(struct session *s, const struct hf_cli_command *command, int argc,
                               char **argv, const char *operand, struct hf_diag *diag)
{
    int first = 0;
    bool stop = false;
    enum hf_status status = session_operands(s, command, argc, argv, &first, &stop, diag);
    if (status == HF_OK && operand && saved_exists(operand)) {
        status = take_saved(s, operand, diag);
    } else if (status == HF_OK && operand) {
        status = hf_request_set(&s->request, HF_OPT_PRACTICE, operand, diag);
        if (status == HF_E_USAGE)
            suggest_held(operand, diag);
    }
    if (status == HF_OK)
        status = hf_cli_parse(command, argc, argv, session_option, s, &first, &stop, diag);
    return status == HF_OK ? take_chord(s, diag) : status;
}

enum hf_status session_read(struct session *s, const struct hf_cli_command *command, int argc,
                            char **argv, bool *stop, struct hf_diag *diag)
{
    int first = 0;
    enum hf_status status = session_operands(s, command, argc, argv, &first, stop, diag);
    if (status != HF_OK || *stop)
        return status;
    if (argc - first > 1) {
        char notes[HF_NOTES_TEXT] = "";
        hf_fail(diag, HF_E_USAGE, "one practice at a time: \"%.60s\" is too many", argv[first + 1]);
        if (hf_cli_join(argc, argv, first, notes, sizeof notes, NULL) == HF_OK)
            suggest_held(notes, diag);
        return HF_E_USAGE;
    }
    return session_read_as(s, command, argc, argv, first < argc ? argv[first] : NULL, diag);
}

static enum hf_status take_board(struct session *s, struct hf_diag *diag)
{
    struct hf_fretboard board;
    if (!s->request.given[HF_OPT_HAND] || s->request.keys || s->request.has_board)
        return HF_OK;
    enum hf_status status = hf_cli_load_instrument(s->request.text[HF_OPT_HAND], &board, diag);
    if (status == HF_OK)
        hf_request_take_board(&s->request, &board);
    return status;
}

/* A hand may take a held set that came without octaves somewhere else: what was understood is what
 * sounds. */
static void settle_held(struct session *s)
{
    struct hf_notes *held = &s->request.held;
    struct hf_voicing voicing;
    hf_pcset pcs;
    hf_schedule_first_hold(&s->schedule, &pcs, &voicing);
    if (!s->schedule.hand || !s->request.held_free || pcs != held->set ||
        voicing.count != held->count)
        return;
    for (int i = 0; i < held->count; i++)
        for (int j = 0; j < voicing.count; j++)
            if (voicing.notes[j] % HF_PCS == held->note[i].pc)
                held->note[i].midi = voicing.notes[j];
    hf_notes_format(held, HF_NAMES_SIMPLE, s->request.text[HF_OPT_HELD]);
}

enum hf_status session_resolve(struct session *s, int rate_hz, struct hf_diag *diag)
{
    struct hf_request *request = &s->request;
    if (!request->given[HF_OPT_SEED]) {
        uint32_t drawn = 0;
        if (getrandom(&drawn, sizeof drawn, 0) != (ssize_t)sizeof drawn)
            return hf_fail(diag, HF_E_IO, "the system gives no random seed; name one with --seed");
        request->seed = drawn % 1000000;    /* few enough digits to be copied by hand */
        request->given[HF_OPT_SEED] = true; /* drawn once, however often this is called */
    }
    if (rate_hz)
        request->rate_hz = rate_hz;
    enum hf_status status = hf_request_resolve(request, diag);
    if (status == HF_OK)
        status = session_check_speech(s, diag);
    if (status == HF_OK)
        status = take_board(s, diag);
    if (status != HF_OK)
        return status;
    hf_schedule_deinit(&s->schedule);
    status = hf_schedule_init(&s->schedule, request, diag);
    if (status == HF_OK)
        settle_held(s);
    return status;
}

static void now_text(char out[32])
{
    time_t now = time(NULL);
    struct tm local;
    char zone[8] = "";
    localtime_r(&now, &local);
    strftime(out, 32, "%Y-%m-%dT%H:%M:%S", &local);
    strftime(zone, sizeof zone, "%z", &local);
    size_t used = strlen(out);
    snprintf(out + used, 32 - used, "%.3s:%.2s", zone, strlen(zone) == 5 ? zone + 3 : "00");
}

enum hf_status session_prepare(struct session *s, struct hf_diag *diag)
{
    char *held = NULL, *added = NULL;
    char started[32];
    const struct hf_request *request = &s->request;
    enum hf_status status =
        hf_cli_load_patch(request->text[HF_OPT_PATCH], session_held_kind(request), request->rate_hz,
                          &s->held_patch, &held, diag);
    if (status == HF_OK)
        status = hf_cli_load_patch(request->text[HF_OPT_CUE_PATCH], HF_PATCH_STRUCK,
                                   request->rate_hz, &s->added_patch, &added, diag);
    now_text(started);
    if (status == HF_OK)
        status =
            hf_head_init(&s->head, HF_PROGRAM " " HF_VERSION, started, request, held, added, diag);
    s->has_head = status == HF_OK;
    if (status == HF_OK) {
        status = session_start_conductor(s, diag);
        s->has_conductor = true;
    }
    free(held);
    free(added);
    return status;
}

static const enum hf_held_way held_ways[] = {[HF_DRONE_SUSTAINED] = HF_HELD_SUSTAINED,
                                             [HF_DRONE_STRUCK] = HF_HELD_STRUCK,
                                             [HF_DRONE_OFF] = HF_HELD_OFF};

enum hf_patch_kind session_held_kind(const struct hf_request *request)
{
    return request->drone == HF_DRONE_STRUCK ? HF_PATCH_STRUCK : HF_PATCH_DRONE;
}

struct hf_engine_setting session_sound(const struct session *s)
{
    const struct hf_request *request = &s->head.request;
    struct hf_held_setting held = {.way = held_ways[request->drone],
                                   .patch = s->held_patch,
                                   .pure = request->tuning == HF_TUNING_PURE,
                                   .rate_hz = request->rate_hz,
                                   .a4_mhz = hf_request_a4_mhz(request),
                                   .seed = request->seed,
                                   .restrike = hf_request_samples(request, request->restrike)};
    return (struct hf_engine_setting){.rate_hz = request->rate_hz,
                                      .a4_mhz = held.a4_mhz,
                                      .volume_db = request->volume_db,
                                      .room_db = request->room_db,
                                      .held = held,
                                      .added_patch = s->added_patch,
                                      .speaker = session_speaker(s)};
}

enum hf_status session_engine(struct session *s, struct hf_diag *diag)
{
    struct hf_engine_setting setting = session_sound(s);
    return hf_engine_new(&s->engine, &setting, diag);
}

int64_t session_length(const struct session *s)
{
    const struct hf_request *request = &s->request;
    return hf_schedule_length(&s->schedule) + hf_conductor_fade(HF_WHY_FINISHED, request->rate_hz);
}

void session_deinit(struct session *s)
{
    hf_schedule_deinit(&s->schedule);
    if (s->has_conductor)
        hf_conductor_deinit(&s->conductor);
    if (s->has_head)
        hf_head_deinit(&s->head);
    hf_engine_free(s->engine);
    free(s->saved);
    hf_speech_close(s->speech);
}

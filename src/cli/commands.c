/* SPDX-License-Identifier: MIT */
/* The commands; what each takes stands beside it. */
#include <holdfast/cli.h>

#include <holdfast/query.h>

#include "display.h"

static const struct hf_cli_option *const play_tables[] = {
    hf_cli_session_options, hf_cli_record_options,  hf_cli_output_options,
    hf_cli_play_options,    hf_cli_display_options, hf_cli_hands_options,
    hf_cli_save_options,    hf_cli_resume_options,  NULL};
static const struct hf_cli_option *const render_tables[] = {
    hf_cli_render_options, hf_cli_takeaway_options, hf_cli_session_options, hf_cli_record_options,
    NULL};
static const struct hf_cli_option *const sheet_tables[] = {hf_cli_sheet_options,
                                                           hf_cli_session_options, NULL};
static const struct hf_cli_option *const replay_tables[] = {
    hf_cli_replay_options, hf_cli_takeaway_options, hf_cli_output_options, hf_cli_display_options,
    NULL};
static const struct hf_cli_option *const complete_options[] = {
    hf_cli_complete_options, hf_query_options, hf_query_notes_options, NULL};
static const struct hf_cli_option *const inspect_options[] = {
    hf_cli_inspect_options, hf_query_options, hf_query_notes_options, NULL};
static const struct hf_cli_option *const pairings_options[] = {hf_cli_pairings_options,
                                                               hf_query_options, NULL};
static const struct hf_cli_option *const shapes_options[] = {
    hf_cli_shapes_options, hf_query_options, hf_query_notes_options, NULL};
static const struct hf_cli_option *const review_tables[] = {hf_cli_review_options, hf_query_options,
                                                            NULL};
static const struct hf_cli_option *const patches_tables[] = {hf_cli_patches_options, NULL};
static const struct hf_cli_option *const outputs_tables[] = {hf_cli_outputs_options, NULL};

const struct hf_cli_command hf_cli_commands[] = {
    {"play", "[PRACTICE or NAME...] [options]", "sound a session now", play_tables,
     "PRACTICE is one of these:\n\n"
     "  improvise: cues on a timeline (when none is named)\n"
     "  roam: all in view, you choose and stay\n"
     "  hunt: find them yourself\n"
     "  ear: which one was it?\n"
     "  sight: is this chord one, and which three notes?\n"
     "  warmup: from single notes to the chord\n\n"
     "NAME is a session that was kept with --save; several are played in turn. Options beside it\n"
     "go before its own.\n\n"
     "Keys while it plays: Space stay (the cues wait, the sound goes on) and go on; p pause and\n"
     "resume; Enter, Right or Page Down next; Left or Page Up the cue again; r reveal;\n"
     "g got it, m missed it; in ear 1 to 6 answer, 0 none of them; in sight 1 to 6 pick the 016, n "
     "no; in roam 1 to 9 choose, s suggests; in hunt notes are typed, then Enter, and h helps; Up "
     "and Down the volume; q "
     "leave; ? keys. Without a terminal it runs "
     "to its end.\n\n"
     "Start with the volume low: the program cannot know how loud it is at your ear. Take\n"
     "breaks, stop at pain; advice of a teacher or clinician and local rules come first.",
     hf_cli_play},
    {"render", "[PRACTICE] -o FILE [options]", "the same, to a sound file", render_tables, NULL,
     hf_cli_render},
    {"replay", "JOURNAL [-o FILE] [options]", "a recorded session again, live or to a file",
     replay_tables, "Keys while it plays: p pause and resume, q leave.", hf_cli_replay},
    {"sheet", "[PRACTICE | NAME] -o FILE.html [options]", "a page for a student to take home",
     sheet_tables,
     "The page plays in a browser, from one file, with nothing else: it names and sounds the "
     "cues,\n"
     "keeps marks, gives them back as a journal, and prints as a plan of the session.\n\n"
     "  holdfast sheet --held \"C E G#\" --rounds 1 -o lesson.html\n"
     "  holdfast sheet --synth --label Ada --seed 7 -o ada.html\n"
     "  holdfast sheet --journal session.jsonl -o again.html",
     hf_cli_sheet},
    {"complete", "NOTES [options]", "what completes this held set", complete_options,
     "NOTES are 1 to 11 notes that are held: names (C E G#), sounding pitches\n"
     "(C3 E3 G#3), numbers (0 4 8 or 048), or frets from the lowest string\n"
     "(x-3-2-1-x-x). CLASS is a Forte name (3-5, 6-Z17) or a prime form (016). Of an\n"
     "added 016 the perfect interval, semitone and tritone are told too; other classes\n"
     "have none of these as cues.\n\n"
     "  holdfast complete C E G#\n"
     "  holdfast complete C E G# --added 3-10\n"
     "  holdfast complete --path 012478 --to \"C E G# F F# B\"",
     hf_cli_complete},
    {"inspect", "NOTES | - [options]", "what a chord is, and how it splits in two", inspect_options,
     "NOTES are 0 to 12 notes in one notation: names (C E G#), sounding pitches\n"
     "(C3 E3 G#3), numbers (0 4 8 or 048), or frets from the lowest string\n"
     "(x-3-2-1-x-x). {} is the empty set. With - a list is read from each line of the\n"
     "input, and a line of JSON answers it.\n\n"
     "  holdfast inspect C E G# C# D G\n"
     "  holdfast inspect 10-10-10-9-9-9",
     hf_cli_inspect},
    {"pairings", "[options]", "which two classes always make one class", pairings_options,
     "CLASS is a Forte name (3-5, 6-Z17) or a prime form (016).\n\n"
     "  holdfast pairings --held 3-12 --size 3\n"
     "  holdfast pairings --result 6-Z17",
     hf_cli_pairings},
    {"shapes", "NOTES [options]", "where notes lie in the hand", shapes_options,
     "NOTES in one notation: names (C E G#) or numbers (048), in any octave; sounding\n"
     "pitches (C3 E3 G#3); frets from the lowest string (x-3-2-1-x-x). NAME is one of\n"
     "--instruments, or a file such as ~/.config/holdfast/instruments/mine.ini:\n\n"
     "  [instrument]\n"
     "  strings = E2 A2 D3 G3 B3 E4\n"
     "  frets = 19\n"
     "  scale_mm = 650\n"
     "  nut_spacing_mm = 8.5\n"
     "  bridge_spacing_mm = 11.5\n\n"
     "and, where they differ: capo = 0, reach_mm = 100, fingers = 4,\n"
     "plucking_fingers = 4, left_handed = no, about = a line about it.\n\n"
     "  holdfast shapes C E G#\n"
     "  holdfast shapes --with x-3-2-1-x-x\n"
     "  holdfast shapes --families C E G#",
     hf_cli_shapes},
    {"review", "[JOURNAL...] [options]", "what was practised, what is weak", review_tables,
     "Without names it reads the journals of play, in ~/.local/state/holdfast. Files that are\n"
     "damaged or no journals are listed and left out; the same journal counts once. Days are\n"
     "local dates at the start of a session, times to answer run from the beginning of a cue\n"
     "to its first mark.\n\n"
     "  holdfast review --since 30d\n"
     "  holdfast review --plan 20m",
     hf_cli_review},
    {"patches", "[NAME] [options]", "timbres, with their measured loudness", patches_tables,
     "NAME is one of the list, one of your own under ~/.config/holdfast/patches, or a\n"
     "file.\n\n"
     "  holdfast patches flute --play\n"
     "  holdfast patches --compare flute,reed",
     hf_cli_patches},
    {"outputs", "[options]", "sound outputs found", outputs_tables, NULL, hf_cli_outputs},
    {NULL, NULL, NULL, NULL, NULL, NULL},
};

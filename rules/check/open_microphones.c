/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"

enum { NOTE_COUNT, FLOOR_DB };
enum { PREAMPS_MOST = 4096 }; /* numbers that input.preamp may take */

static const enum param_id reads[] = {PARAM_INPUT_MUTE, PARAM_INPUT_NAME, PARAM_INPUT_PREAMP,
                                      LOOK_SEND_READS,  PARAM_MIX_NAME,   PARAMS};

/* Whether the input is an open microphone in the mix. False when not known. */
static bool
is_open(struct look *look, int input, int mix, bool *open)
{
    const struct source *source;
    double level_db;
    bool muted;

    *open = false;
    if (!look_switch(look, PARAM_INPUT_MUTE, input, 0, &muted))
        return false;
    if (muted)
        return true;
    if (!look_send_open(look, input, mix, open))
        return false;
    if (!*open)
        return true;
    if (!look_number(look, PARAM_SEND_LEVEL, input, mix, &level_db))
        return false;
    *open = level_db > look->settings[FLOOR_DB];
    if (!*open)
        return true;
    source = look_source(look, input);
    *open = source && !source->line && source != &sources[SOURCE_UNUSED];
    return source != NULL;
}

/* Open microphones in the mix; two strips of one preamp are one microphone. */
static int
count_open(struct look *look, int mix)
{
    bool seen[PREAMPS_MOST] = {false};
    int count = 0;

    for (int i = 0; i < desk_count(look->desk, INDEX_INPUT); i++) {
        int preamp;
        bool open;

        if (!is_open(look, i, mix, &open) || !open || !look_preamp(look, i, &preamp))
            continue;
        count += !seen[preamp];
        seen[preamp] = true;
    }
    return count;
}

static void
run(struct look *look, struct object object)
{
    enum feeds feeds = look_feeds(look, object.mix);
    int count = 0;

    if (feeds != FEEDS_UNKNOWN && !feeds_loudspeaker(feeds))
        return;
    if (feeds != FEEDS_UNKNOWN)
        count = count_open(look, object.mix);
    if (look->missing > 0) {
        look_not_known(look);
        return;
    }
    if (count < look->settings[NOTE_COUNT]) {
        look_pass(look);
        return;
    }
    look_found(look, WEIGHT_NOTE, count);
    look_figure(look, "microphones_count", count);
    look_figure(look, "margin_lost_db", 10 * log10(count));
}

static void
say(struct wording *wording)
{
    text_add(
        &wording->says,
        "%d microphones are open into the mix: against a single one that costs %f dB of margin",
        (int)verdict_figure(wording->verdict, "microphones_count"),
        verdict_figure(wording->verdict, "margin_lost_db"));
    text_add(&wording->cure,
             "close the sends this player does not need; half as many microphones give 3 dB back");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    int count = (int)verdict_figure(verdict, "microphones_count");
    double loss_db = sum_tenth(verdict_figure(verdict, "margin_lost_db"));

    text_add(
        text,
        "%d microphones that are equally loud in the mix take 10 log10(%d) = %f dB of gain "
        "before feedback against one. With half of them open, %d, it is 10 log10(%d) = %f dB: ",
        count, count, loss_db, count / 2, count / 2, sum_tenth(10 * log10(count / 2)));
    sum_difference(text, loss_db, sum_tenth(10 * log10(count / 2)));
    text_add(text, " dB come back.");
}

const struct check check_open_microphones = {
    .id = "open-microphones",
    .number = CHECK_OPEN_MICROPHONES,
    .subject = SUBJECT_ROUTING,
    .objects = OBJECT_MIX,
    .reads = reads,
    .settings = {{"note_count", 10, 2, 200, "open microphones from which it is a note", 0,
                  WEIGHT_NOTE, CREDIT_PRACTICE},
                 {"floor_db", -40, -90, 0, "sends up to this level do not count", -1, WEIGHT_NOTE,
                  CREDIT_PRACTICE}},
    .severity = "microphones_count",
    .worse_step = 2,
    .fails_when = "many distinct microphones are open into one loudspeaker mix. Two inputs of one "
                  "preamp are one microphone; DI boxes, keyboards and playback do not count.",
    .why = "Each doubling of open microphones costs 3 dB of gain before feedback, and every one of "
           "them brings the stage into the mix.",
    .cure = "Take out what the player does not ask for; gate or mute what is not played.",
    .formula = "10 log10 of the number of open microphones",
    .source =
        "10 log10 N: Primer: Acoustic Characteristics of Live Sound Reinforcement, "
        "prosoundweb.com, p. 6 (one microphone 20 dB, two 17 dB, four 14 dB). The number from "
        "which it is a note: common practice, no source.",
    .disagreement = "10 log10 N (\"Primer: Acoustic Characteristics of Live Sound Reinforcement\", "
                    "prosoundweb.com, p. 6) holds for microphones that are equally loud and "
                    "equally far from the loudspeaker; one that is sent much softer costs much "
                    "less. From how many on it matters is common practice, no source. So is "
                    "whether a gate, a mute or a hand should close what is not played.",
    .run = run,
    .say = say,
    .work = work,
};

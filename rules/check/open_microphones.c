/* SPDX-License-Identifier: MIT */
#include "check/open_microphones.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "check/check.h"
#include "core/sum.h"

enum { NOTE_COUNT, FLOOR_DB };
enum { PREAMPS_MOST = 4096 }; /* numbers that input.preamp may take */

static const enum param_id reads[] = {PARAM_INPUT_MUTE, PARAM_INPUT_NAME, PARAM_INPUT_PREAMP,
                                      LOOK_SEND_READS,  PARAM_MIX_NAME,   PARAMS};

/* The open microphones of one mix. Two strips of one preamp are one microphone, as loud as the
 * louder of its sends. */
struct crowd {
    int count;
    short at[PREAMPS_MOST]; /* of a preamp in sends_db[], from 1; 0: it is not there */
    double sends_db[PREAMPS_MOST];
};

/* The send as it arrives in the mix, -HUGE_VAL when it is closed. */
static bool
arrives(struct look *look, int input, int mix, double *db)
{
    struct send_level send;

    if (!look_send_db(look, input, mix, &send))
        return false;
    *db = send.db + send.fader_db;
    return true;
}

/* The send of an open microphone, -HUGE_VAL when the input is none. False when not known. */
static bool
open_db(struct look *look, int input, int mix, double *db)
{
    const struct source *source;
    bool muted;

    *db = -HUGE_VAL;
    if (!look_switch(look, PARAM_INPUT_MUTE, input, 0, &muted))
        return false;
    if (muted)
        return true;
    if (!arrives(look, input, mix, db))
        return false;
    if (*db <= look->settings[FLOOR_DB]) {
        *db = -HUGE_VAL;
        return true;
    }
    source = look_source(look, input);
    if (source && (source->line || source == &sources[SOURCE_UNUSED]))
        *db = -HUGE_VAL;
    return source != NULL;
}

static void
add_microphone(struct crowd *crowd, int preamp, double db)
{
    if (crowd->at[preamp] == 0) {
        crowd->sends_db[crowd->count++] = db;
        crowd->at[preamp] = (short)crowd->count;
    }
    crowd->sends_db[crowd->at[preamp] - 1] = fmax(crowd->sends_db[crowd->at[preamp] - 1], db);
}

static void
gather(struct look *look, int mix, struct crowd *crowd)
{
    crowd->count = 0;
    memset(crowd->at, 0, sizeof crowd->at);
    for (int i = 0; i < desk_count(look->desk, INDEX_INPUT); i++) {
        int preamp;
        double db;

        if (open_db(look, i, mix, &db) && db > -HUGE_VAL && look_preamp(look, i, &preamp))
            add_microphone(crowd, preamp, db);
    }
}

/* The sum of their powers, that of the loudest being 1. */
static double
power_of(const struct crowd *crowd)
{
    double loudest_db = -HUGE_VAL, sum = 0;

    for (int i = 0; i < crowd->count; i++)
        loudest_db = fmax(loudest_db, crowd->sends_db[i]);
    for (int i = 0; i < crowd->count; i++)
        sum += pow(10, (crowd->sends_db[i] - loudest_db) / 10);
    return sum;
}

bool
open_microphones_of(const struct desk *desk, const struct show *show, int mix,
                    struct open_microphones *open)
{
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(desk, show, reads, &verdict);
    struct crowd crowd;

    memcpy(look.settings, show->checks[CHECK_OPEN_MICROPHONES].settings, sizeof look.settings);
    gather(&look, mix, &crowd);
    open->count = crowd.count;
    open->sum_db = crowd.count > 0 ? 10 * log10(power_of(&crowd)) : 0;
    return look.missing == 0;
}

static void
run(struct look *look, struct object object)
{
    enum feeds feeds = look_feeds(look, object.mix);
    struct crowd crowd;

    if (feeds != FEEDS_UNKNOWN && !feeds_loudspeaker(feeds))
        return;
    if (feeds != FEEDS_UNKNOWN)
        gather(look, object.mix, &crowd);
    if (look->missing > 0) {
        look_not_known(look);
        return;
    }
    if (crowd.count < look->settings[NOTE_COUNT]) {
        look_pass(look);
        return;
    }
    look_found(look, WEIGHT_NOTE, crowd.count);
    look_figure(look, "microphones_count", crowd.count);
    look_figure(look, "margin_lost_db", 10 * log10(power_of(&crowd)));
}

static void
say(struct wording *wording)
{
    double lost_db = verdict_figure(wording->verdict, "margin_lost_db");

    text_add(&wording->says,
             "%d microphones are open into the mix: by the powers of their sends they cost ",
             (int)verdict_figure(wording->verdict, "microphones_count"));
    if (lost_db < 0.05)
        text_add(&wording->says, "less than 0.1 dB");
    else
        text_add(&wording->says, "%f dB", lost_db);
    text_add(&wording->says, " of margin against the loudest alone");
    text_add(&wording->cure,
             "close the sends this player does not need, loud ones first: half as many that are as "
             "loud give 3 dB back");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    int count = (int)verdict_figure(verdict, "microphones_count");
    double power = round(1000 * pow(10, verdict_figure(verdict, "margin_lost_db") / 10)) / 1000;

    text_add(text,
             "Each of the %d microphones counts by the power of its send, the loudest as 1. "
             "Together they are ",
             count);
    text_add_number(text, power, 3);
    text_add(text, ", which take 10 log10(");
    text_add_number(text, power, 3);
    text_add(text,
             ") = %f dB of gain before feedback against the loudest alone. If all were as loud as "
             "that one, it would be 10 log10(%d) = %f dB; each halving gives 10 log10(2) = %f dB "
             "back.",
             sum_tenth(10 * log10(power)), count, sum_tenth(10 * log10(count)),
             sum_tenth(10 * log10(2)));
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
    .formula =
        "10 log10 of the sum of 10^((send - loudest send) / 10) over the open microphones, each "
        "with its fader where it follows that: 10 log10 of their number when all are equally "
        "loud. Preamps are taken to bring every source to one level (common practice, no "
        "source)",
    .source =
        "10 log10 N: Primer: Acoustic Characteristics of Live Sound Reinforcement, "
        "prosoundweb.com, p. 6 (one microphone 20 dB, two 17 dB, four 14 dB). The number from "
        "which it is a note: common practice, no source.",
    .disagreement =
        "10 log10 N (\"Primer: Acoustic Characteristics of Live Sound Reinforcement\", "
        "prosoundweb.com, p. 6) holds for microphones that are equally loud and "
        "equally far from the loudspeaker; here one that is sent softer costs less, but "
        "how far each stands no desk knows. From how many on it matters is common "
        "practice, no source. So is whether a gate, a mute or a hand should close what "
        "is not played.",
    .run = run,
    .say = say,
    .work = work,
};

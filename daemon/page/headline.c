/* SPDX-License-Identifier: MIT */
#include "page/headline.h"

#include <math.h>
#include <string.h>

#include "core/text.h"
#include "report/report.h"

/* What stands behind "mix 8 Drums IEM ". Of the rows of a check the first counts whose figure is
 * there and not 0, else the last. */
static const struct phrase {
    int check;
    const char *figure;
    const char *before;
    const char *behind; /* the number, NULL: it is not said */
    bool sign;          /* it is said with a plus, too */
} phrases[] = {
    {CHECK_UNUSED_PREAMP_GAIN, "surplus_db", "does not use ", " dB of its preamp gain", false},
    {CHECK_TOO_MANY_CUTS, "cuts_count", "has ", " cuts", false},
    {CHECK_HIGH_PASS_MISSING, "pre_eq_count", "is sent past its high-pass", NULL, false},
    {CHECK_HIGH_PASS_MISSING, "usual_corner_low_hz", "has no high-pass", NULL, false},
    {CHECK_HIGH_PASS_LOW, "corner_hz", "has its high-pass far too low, at ", " Hz", false},
    {CHECK_HIGH_PASS_HIGH, "corner_hz", "has its high-pass too high, at ", " Hz", false},
    {CHECK_MASTER_OFF_UNITY, "master_db", "has its master at ", " dB", true},
    {CHECK_MASTER_OFF_UNITY, "open_sends_count", "has its master off", NULL, false},
    {CHECK_OWN_SEND_OFF_UNITY, "own_send_db", "has its player's own send at ", " dB", true},
    {CHECK_OWN_SEND_OFF_UNITY, "preamp_db", "has its player's own send off", NULL, false},
    {CHECK_SEND_FOLLOWS_FADER, "sends_count", "has sends that follow a fader", NULL, false},
    {CHECK_BOOST_INTO_WEDGE, "boost_db", "has ", " dB of boost into a loudspeaker", false},
    {CHECK_MAKE_UP_INTO_WEDGE, "makeup_db", "has ", " dB of make-up gain into a loudspeaker",
     false},
    {CHECK_OPEN_UNUSED_INPUT, "preamp_db", "is unused and open", NULL, false},
    {CHECK_OPEN_MICROPHONES, "microphones_count", "has ", " open microphones", false},
    {CHECK_EARS_UNPROTECTED, "above_mix_db", "has a limiter far above its level", NULL, false},
    {CHECK_EARS_UNPROTECTED, "attack_ms", "has a slow limiter", NULL, false},
    {CHECK_EARS_UNPROTECTED, "release_ms", "has a limiter that holds on long", NULL, false},
    {CHECK_EARS_UNPROTECTED, "other_threshold_db", "is limited in another way than the other ear",
     NULL, false},
    {CHECK_EARS_UNPROTECTED, "behind_db", "has a master that lifts what its limiter holds", NULL,
     false},
    {CHECK_EARS_UNPROTECTED, "ratio_to_1", "has a limiter that limits too little", NULL, false},
    {CHECK_EARS_UNPROTECTED, "least_ratio_to_1", "has no limiter", NULL, false},
    {CHECK_PHANTOM_MISMATCH, "needed_v", "lacks 48 V", NULL, false},
    {CHECK_PHANTOM_MISMATCH, "phantom_v", "has 48 V that it does not need", NULL, false},
    {CHECK_INPUT_HOT, "level_dbfs", "is near full scale", NULL, false},
    {CHECK_INPUT_FAINT, "below_full_scale_db", "is very faint", NULL, false},
    {CHECK_VALUE_JUMPED, "leap_db", "leapt up by ", " dB", false},
    {CHECK_MOVED_FROM_APPROVED, "moved_count", "is not as it was approved", NULL, false},
    {CHECK_PROTECTION_LOST, "lost_count", "has lost protection", NULL, false},
    {CHECK_MARGIN_LEFT, "past_db", "has little proved margin left", NULL, false},
    {CHECK_LOOP_MARGIN, "loop_gain_db", "is estimated to be near its first ring", NULL, false},
    {CHECK_MICROPHONE_AIM, "wins_db", "would win ", " dB if its microphone were turned", false},
    {CHECK_MIX_RINGING, "grew_db_s", "may be ringing", NULL, false},
    {CHECK_LEFT_ON, "talkback_on_count", "has talkback left on", NULL, false},
    {CHECK_LEFT_ON, "oscillator_on_count", "has its oscillator left on", NULL, false},
};

static double
number_of(const struct phrase *phrase, const struct verdict *verdict)
{
    double number = verdict_figure(verdict, phrase->figure);

    return isfinite(number) ? number : 0;
}

static const struct phrase *
phrase_of(const struct finding *finding)
{
    const struct phrase *last = NULL;

    for (size_t i = 0; i < sizeof phrases / sizeof *phrases; i++) {
        if (phrases[i].check != finding->check->number)
            continue;
        last = &phrases[i];
        if (number_of(last, &finding->verdict) != 0)
            break;
    }
    return last;
}

/* "mix 8 Drums IEM has no limiter" */
static const char *
say_finding(const struct engine *engine, const struct finding *finding, char says[HEADLINE_SIZE])
{
    const struct phrase *phrase = phrase_of(finding);
    double number = round(10 * number_of(phrase, &finding->verdict)) / 10;
    bool desk = finding->object.input < 0 && finding->object.mix < 0;
    char object[REPORT_OBJECT_SIZE];
    struct text text;

    text_init(&text, says, HEADLINE_SIZE);
    text_add(&text, "%s%s %s", desk ? "the " : "", report_object(engine, finding->object, object),
             phrase->before);
    if (phrase->behind)
        text_add(&text, "%s%f%s",
                 number < 0                   ? "\xe2\x88\x92"
                 : phrase->sign && number > 0 ? "+"
                                              : "",
                 fabs(number), phrase->behind);
    return says;
}

static size_t
heard_of(const struct desk *desk, size_t *all)
{
    size_t known = desk_count_state(desk, VALUE_KNOWN);

    *all = known + desk_count_state(desk, VALUE_UNKNOWN) + desk_count_state(desk, VALUE_STALE);
    return known;
}

/* What nobody heard, or what desk and show file do not tell. */
const char *
headline_not_judged(const struct desk *desk, size_t unknown, char says[HEADLINE_SIZE])
{
    size_t all, known = heard_of(desk, &all);
    struct text text;

    text_init(&text, says, HEADLINE_SIZE);
    if (known < all)
        text_add(&text, "Not judged: %zu of %zu values were not heard.", all - known, all);
    else
        text_add(&text, "Not judged: for %zu check%s desk and show file do not tell enough.",
                 unknown, unknown == 1 ? "" : "s");
    return says;
}

/* The worst, and how many as bad as the worst there are where somebody can be hurt. */
static void
add_not_ready(struct text *text, const struct report_findings *findings)
{
    size_t stops = findings->of[WEIGHT_STOP];
    char worst[HEADLINE_SIZE];

    text_add(text, "Not ready: %s", say_finding(findings->engine, findings->list[0], worst));
    if (stops > 1)
        text_add(text, ", and %zu more to stop", stops - 1);
    text_add(text, ".");
}

const char *
headline(const struct report_findings *findings, char says[HEADLINE_SIZE])
{
    struct text text;

    text_init(&text, says, HEADLINE_SIZE);
    if (findings->of[WEIGHT_STOP] + findings->of[WEIGHT_FIX] > 0)
        add_not_ready(&text, findings);
    else if (findings->unknown > 0)
        return headline_not_judged(engine_desk(findings->engine), findings->unknown, says);
    else
        text_add(&text, "Ready: nothing to stop or fix.");
    return says;
}

const char *
headline_heard(const struct desk *desk, char says[HEADLINE_HEARD_SIZE])
{
    size_t all, known = heard_of(desk, &all);

    if (known == all)
        snprintf(says, HEADLINE_HEARD_SIZE, "everything heard (%zu values)", all);
    else
        snprintf(says, HEADLINE_HEARD_SIZE, "%zu of %zu values heard", known, all);
    return says;
}

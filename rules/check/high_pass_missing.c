/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "sound/high_pass.h"

static const enum param_id reads[] = {
    PARAM_INPUT_NAME,         PARAM_INPUT_MUTE,     PARAM_MIX_NAME,      PARAM_INPUT_HIGH_PASS_ON,
    HIGH_PASS_HAS_BAND_READS, HIGH_PASS_PATH_READS, HIGH_PASS_MIX_READS, PARAMS};

/* The input and what it has by itself. */
struct strip_filter {
    const struct source *source;
    int input;
    bool on;         /* a filter or a band of its equaliser */
    double least_hz; /* where the mix must take off 3 dB to stand in for it */
};

/* Where its open sends lead. */
struct sends {
    bool loudspeaker, ears;
};

static bool
read_strip(struct look *look, struct strip_filter *strip)
{
    if (!look_switch(look, PARAM_INPUT_HIGH_PASS_ON, strip->input, 0, &strip->on))
        return false;
    return strip->on || high_pass_has_band(look, strip->input, &strip->on);
}

/* An open path into a loudspeaker in which the strip's own filter is not. */
static enum high_pass_path
judge_loudspeaker(struct look *look, const struct strip_filter *strip, int mix)
{
    struct high_pass of_mix;

    if (!high_pass_of_mix(look, mix, strip->least_hz, &of_mix))
        return HIGH_PASS_UNKNOWN;
    if (high_pass_is_enough(of_mix.loss_db))
        return HIGH_PASS_RIGHT;
    return high_pass_matters(look, strip->input, mix);
}

/* Whether the tap is known to lie behind a filter that is on: nothing else needs to be known. */
static bool
is_filtered(const struct look *look, const struct strip_filter *strip, int mix)
{
    const struct value *tap = desk_value(look->desk, PARAM_SEND_TAP, strip->input, mix);

    return strip->on && tap->state == VALUE_KNOWN && value_number(tap) != TAP_PRE_EQ;
}

static enum high_pass_path
judge_path(struct look *look, const struct strip_filter *strip, int mix, struct sends *sends)
{
    enum feeds feeds;
    bool open;

    if (is_filtered(look, strip, mix))
        return HIGH_PASS_RIGHT;
    if (!look_send_open(look, strip->input, mix, &open))
        return HIGH_PASS_UNKNOWN;
    if (!open)
        return HIGH_PASS_CLOSED;
    feeds = look_feeds(look, mix);
    sends->ears |= feeds == FEEDS_IN_EAR;
    sends->loudspeaker |= feeds_loudspeaker(feeds);
    if (feeds_loudspeaker(feeds))
        return judge_loudspeaker(look, strip, mix);
    return feeds == FEEDS_UNKNOWN ? HIGH_PASS_UNKNOWN : HIGH_PASS_CLOSED;
}

static void
found(struct look *look, const struct strip_filter *strip, enum weight weight, int mix)
{
    look_found(look, weight, strip->source->corner_low_hz);
    look_figure(look, "usual_corner_low_hz", strip->source->corner_low_hz);
    look_figure(look, "usual_corner_high_hz", strip->source->corner_high_hz);
    if (strip->on)
        look_figure(look, "pre_eq_count", 1);
    if (strip->on)
        look->verdict->mix = mix;
}

/* Nothing is wrong on any path into a loudspeaker. */
static void
end(struct look *look, const struct strip_filter *strip, const struct sends *sends)
{
    if (look->missing > 0)
        look_not_known(look);
    else if (!strip->on && sends->ears && !sends->loudspeaker)
        found(look, strip, WEIGHT_NOTE, -1);
    else if (strip->on || sends->loudspeaker)
        look_pass(look);
    else
        look_closed(look);
}

static void
run(struct look *look, struct object object)
{
    struct strip_filter strip = {.input = object.input};
    struct sends sends = {false, false};

    strip.source = high_pass_source(look, object.input);
    if (!strip.source)
        return;
    if (!read_strip(look, &strip)) {
        look_not_known(look);
        return;
    }
    strip.least_hz = high_pass_least_hz(
        strip.source, look->show->checks[CHECK_HIGH_PASS_LOW].settings[HIGH_PASS_OCTAVES_UNDER]);
    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++)
        if (judge_path(look, &strip, mix, &sends) == HIGH_PASS_FAULT) {
            found(look, &strip, WEIGHT_FIX, mix);
            return;
        }
    end(look, &strip, &sends);
}

/* The filter is on; the send leaves before it. */
static void
say_beside(struct wording *wording, const struct source *source)
{
    text_add(&wording->says, "the high-pass is on, but the send into mix ");
    look_add_mix(wording->look, &wording->says, wording->verdict->mix);
    text_add(&wording->says,
             " is taken before it (tap pre-eq), so the filter does nothing there; %s %s source "
             "needs nothing below %f Hz",
             source_article(source), source->id, source->corner_low_hz);
    text_add(&wording->cure,
             "switch on a high-pass of that mix at %f Hz; or take the send from behind the "
             "equaliser: that brings in equaliser and make-up as well, so first bring the send "
             "down, and up again slowly",
             source->corner_low_hz);
}

static void
say_off(struct wording *wording, const struct source *source)
{
    text_add(&wording->says, "the high-pass is off; %s %s source needs nothing below %f Hz%s",
             source_article(source), source->id, source->corner_low_hz,
             wording->verdict->weight == WEIGHT_FIX ? ", and it is open into a loudspeaker mix"
                                                    : "");
    text_add(&wording->cure,
             "high-pass on, from %f Hz up; raise it while listening, until the sound changes, then "
             "a little back "
             "(usual: %f to %f Hz)",
             source->corner_low_hz, source->corner_low_hz, source->corner_high_hz);
}

static void
say(struct wording *wording)
{
    const struct source *source = look_source(wording->look, wording->object.input);

    if (isnan(verdict_figure(wording->verdict, "pre_eq_count")))
        say_off(wording, source);
    else
        say_beside(wording, source);
}

/* What the filter would do, with the slope that most desks have: order 2. */
static void
work(struct text *text, const struct verdict *verdict)
{
    double low_hz = verdict_figure(verdict, "usual_corner_low_hz");
    double high_hz = verdict_figure(verdict, "usual_corner_high_hz");

    text_add(
        text,
        "%s, it takes nothing off. In the path, with 12 dB per octave (order 12 / 6 = 2) and its "
        "corner at %f Hz, it takes off stage rumble at 40 Hz: ",
        isnan(verdict_figure(verdict, "pre_eq_count")) ? "Off" : "Behind the tap", low_hz);
    high_pass_add_loss(text, 2, low_hz, 40);
    text_add(text, " dB. With the corner at %f Hz, the top of what is usual: ", high_hz);
    high_pass_add_loss(text, 2, high_hz, 40);
    text_add(text, " dB.");
}

const struct check check_high_pass_missing = {
    .id = "high-pass-missing",
    .number = CHECK_HIGH_PASS_MISSING,
    .subject = SUBJECT_FILTERS,
    .objects = OBJECT_INPUT,
    .reads = reads,
    .severity = "usual_corner_low_hz",
    .worse_step = 1e9, /* it is off or on; nothing in between */
    .fails_when = "a source that needs no lows goes into a loudspeaker without a high-pass: it is "
                  "off, or the send is taken before it (tap pre-eq), and the mix has none either "
                  "that reaches the usual corners. Into a loudspeaker it should be fixed; off and "
                  "into in-ears only it is a note. Kick, floor tom, bass, keys and playback may go "
                  "without. " HIGH_PASS_PATHS,
    .why = "Below its lowest note a microphone brings only rumble, stage thump and the bass of the "
           "wedges, which takes headroom and feeds the low end of the loop.",
    .cure = "Switch it on and raise the corner until the sound of the instrument changes, then go "
            "a little back.",
    .formula = "no high-pass in the path, and source in the table of sources that want one",
    .source = HIGH_PASS_CORNERS,
    .disagreement =
        "Agreed: a source that needs no lows gets a high-pass. Not settled is how high: "
        "voices from 100 to 120 Hz to start, up to 180 (\"Mighty High Pass Filter\", "
        "prosoundweb.com); listening for the point where the tone gets thin, and going back from "
        "there, gives no figure (common practice, no source). Nor is it settled whether kick, "
        "floor "
        "tom, bass, keys and playback want one at all: 20 to 60 Hz or off are both "
        "common practice, no source, and this check leaves them out.",
    .run = run,
    .say = say,
    .work = work,
};

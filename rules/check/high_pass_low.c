/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"
#include "sound/filter.h"
#include "sound/high_pass.h"

/* One-third-octave centres where stage rumble and wedge lows live. */
static const double low_hz[] = {40, 63, 100};
static const char *const low_figures[] = {"loss_at_40_hz_db", "loss_at_63_hz_db",
                                          "loss_at_100_hz_db"};

static const enum param_id reads[] = {HIGH_PASS_READS, HIGH_PASS_BAND_READS, HIGH_PASS_PATH_READS,
                                      HIGH_PASS_MIX_READS, PARAMS};

static double
octaves_under(const struct source *source, const struct high_pass *pass)
{
    return log2(source->corner_low_hz / pass->corner_hz);
}

static void
found(struct look *look, const struct source *source, const struct high_pass *pass)
{
    double under = octaves_under(source, pass);

    look_found(look, WEIGHT_NOTE, under);
    look_figure(look, "octaves_under", under);
    look_figure(look, "corner_hz", pass->corner_hz);
    look_figure(look, "usual_corner_low_hz", source->corner_low_hz);
    look_figure(look, "usual_corner_high_hz", source->corner_high_hz);
    look_figure(look, "filter_order", pass->order);
    for (int i = 0; i < 3; i++)
        look_figure(look, low_figures[i],
                    filter_high_pass_loss_db(pass->order, pass->corner_hz, low_hz[i]));
}

/* Whether the strip's own filters are enough already. */
static bool
is_enough(const struct look *look, const struct source *source, const struct high_pass *pass)
{
    return pass->on && octaves_under(source, pass) <= look->settings[HIGH_PASS_OCTAVES_UNDER];
}

static void
run(struct look *look, struct object object)
{
    const struct source *source = high_pass_source(look, object.input);
    struct high_pass pass;
    enum high_pass_path path;
    double least_hz;
    int mix;

    if (!source)
        return;
    least_hz = high_pass_least_hz(source, look->settings[HIGH_PASS_OCTAVES_UNDER]);
    if (!high_pass_read(look, object.input, least_hz, &pass) ||
        (!is_enough(look, source, &pass) &&
         !high_pass_add_bands(look, object.input, least_hz, &pass))) {
        look_not_known(look);
        return;
    }
    if (!pass.on) /* high-pass-missing tells it */
        return;
    if (is_enough(look, source, &pass)) {
        look_pass(look);
        return;
    }
    path = high_pass_judge(look, object.input, &pass, least_hz, &mix);
    if (path == HIGH_PASS_FAULT)
        found(look, source, &pass);
    else
        high_pass_end(look, path);
}

static void
say(struct wording *wording)
{
    const struct source *source = look_source(wording->look, wording->object.input);
    double corner_hz = verdict_figure(wording->verdict, "corner_hz");
    int order = (int)verdict_figure(wording->verdict, "filter_order");

    text_add(&wording->says,
             "the high-pass at %f Hz is far too low for %s %s source: it takes %f dB off at 63 "
             "Hz, a corner of %f Hz would take %f dB",
             corner_hz, source_article(source), source->id,
             verdict_figure(wording->verdict, "loss_at_63_hz_db"), source->corner_low_hz,
             filter_high_pass_loss_db(order, source->corner_low_hz, 63));
    text_add(&wording->cure,
             "corner %f -> %f Hz, then up while listening, until the sound changes, then a little "
             "back (usual: up to %f Hz)",
             corner_hz, source->corner_low_hz, source->corner_high_hz);
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double corner_hz = verdict_figure(verdict, "corner_hz");
    double usual_hz = verdict_figure(verdict, "usual_corner_low_hz");
    int order = (int)verdict_figure(verdict, "filter_order");
    double now_db, usual_db;

    text_add(text,
             "The usual corners begin at %g Hz, the filter stands at %g Hz: log2(%g / %g) = %g "
             "octaves under. What a high-pass of order %d takes off at 63 Hz with its corner at %g "
             "Hz: ",
             usual_hz, corner_hz, usual_hz, corner_hz, verdict_figure(verdict, "octaves_under"),
             order, corner_hz);
    now_db = high_pass_add_loss(text, order, corner_hz, 63);
    text_add(text, " dB. With its corner at %g Hz: ", usual_hz);
    usual_db = high_pass_add_loss(text, order, usual_hz, 63);
    text_add(text, " dB. So ");
    sum_difference(text, usual_db, now_db);
    text_add(text, " dB more of the stage stay in the loop there.");
}

const struct check check_high_pass_low = {
    .id = "high-pass-low",
    .number = CHECK_HIGH_PASS_LOW,
    .subject = SUBJECT_FILTERS,
    .objects = OBJECT_INPUT,
    .reads = reads,
    .settings = {{"octaves_under", 0.5, 0.1, 4,
                  "octaves below the source's usual corners from which it is a note", -0.1,
                  WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "octaves_under",
    .worse_step = 0.5,
    .fails_when = "the high-pass is on, but its corner lies far under the source's usual corners, "
                  "and so does that of all filters of the path together. " HIGH_PASS_PATHS,
    .why =
        "A corner at 30 Hz on a voice is on in name only: the octaves in which the wedge and the "
        "stage rumble are still in the loop.",
    .cure = "Raise the corner until the sound of the instrument changes, then go a little back.",
    .formula =
        "log2(usual lowest corner / corner); loss of a Butterworth high-pass of order n at f: "
        "10 log10(1 + (corner / f)^(2 n))",
    .source = HIGH_PASS_CORNERS,
    .disagreement = "The corners. Overheads are given 120 Hz as microphones of the whole kit and "
                    "500 Hz as those of the cymbals (" CREDIT_HIGH_PASS
                    "): the same microphone, two jobs. Hi-hats are given about 500 Hz there; "
                    "lower, from 150 Hz, is common practice, no source. Snare, toms, "
                    "amplifiers and brass have only common practice, no source. Agreed is no more "
                    "than the way: up until the sound changes, then a little back.",
    .run = run,
    .say = say,
    .work = work,
};

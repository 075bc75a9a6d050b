/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"
#include "sound/filter.h"
#include "sound/high_pass.h"

enum { LOSS_DB };

static const enum param_id reads[] = {HIGH_PASS_READS, HIGH_PASS_BAND_READS, HIGH_PASS_PATH_READS,
                                      PARAMS};

/* The highest corner of this order that costs at most 1 dB at the lowest note:
 * lowest * (10^0.1 - 1)^(1 / 2n). */
static double
gentle_corner_hz(double lowest_hz, int order)
{
    return lowest_hz * pow(pow(10, 0.1) - 1, 1 / (2.0 * order));
}

static void
found_thin(struct look *look, const struct source *source, double lowest_hz, double corner_hz,
           int order)
{
    double loss_db = filter_high_pass_loss_db(order, corner_hz, lowest_hz);

    look_found(look, WEIGHT_NOTE, loss_db);
    look_figure(look, "loss_at_lowest_note_db", loss_db);
    look_figure(look, "lowest_note_hz", lowest_hz);
    look_figure(look, "corner_hz", corner_hz);
    look_figure(look, "one_db_corner_hz", gentle_corner_hz(lowest_hz, order));
    look_figure(look, "usual_corner_high_hz", source->corner_high_hz);
    look_figure(look, "filter_order", order);
}

/* No lowest note is known: the usual corners have to do. The loss is taken at the usual top. */
static void
found_above_usual(struct look *look, const struct source *source, double corner_hz, int order)
{
    double loss_db = filter_high_pass_loss_db(order, corner_hz, source->corner_high_hz);

    look_found(look, WEIGHT_NOTE, loss_db);
    look_figure(look, "loss_at_usual_top_db", loss_db);
    look_figure(look, "usual_corner_high_hz", source->corner_high_hz);
    look_figure(look, "corner_hz", corner_hz);
    look_figure(look, "filter_order", order);
}

/* Both are asked for: corners of guitars and voices lie above their lowest notes on purpose. 3 dB is
 * the loss at the corner itself, so the usual top would fail by rounding alone. */
static bool
is_too_high(const struct look *look, const struct source *source, double lowest_hz,
            const struct high_pass *pass)
{
    double reference_hz = lowest_hz > 0 ? lowest_hz : source->corner_high_hz;

    return pass->on && pass->corner_hz > source->corner_high_hz * 1.02 &&
           filter_high_pass_loss_db(pass->order, pass->corner_hz, reference_hz) >=
               look->settings[LOSS_DB];
}

static void
found(struct look *look, const struct source *source, double lowest_hz,
      const struct high_pass *pass)
{
    if (lowest_hz > 0)
        found_thin(look, source, lowest_hz, pass->corner_hz, pass->order);
    else
        found_above_usual(look, source, pass->corner_hz, pass->order);
}

static void
run(struct look *look, struct object object)
{
    const struct source *source = high_pass_source(look, object.input);
    struct high_pass pass;
    enum high_pass_path path;
    double lowest_hz;
    int mix;

    if (!source)
        return;
    lowest_hz = high_pass_lowest_hz(look, object.input, source);
    if (!high_pass_read(look, object.input, 0, &pass) ||
        (!is_too_high(look, source, lowest_hz, &pass) &&
         !high_pass_add_bands(look, object.input, 0, &pass))) {
        look_not_known(look);
        return;
    }
    if (!pass.on)
        return;
    if (!is_too_high(look, source, lowest_hz, &pass)) {
        look_pass(look);
        return;
    }
    path = high_pass_judge(look, object.input, &pass, 0, &mix);
    if (path == HIGH_PASS_FAULT)
        found(look, source, lowest_hz, &pass);
    else
        high_pass_end(look, path);
}

static void
say_thin(struct wording *wording, const struct source *source)
{
    const struct verdict *verdict = wording->verdict;
    double corner_hz = verdict_figure(verdict, "corner_hz");
    bool told = wording->look->show->inputs[wording->object.input].lowest_hz > 0;
    const char *lowest = told ? "lowest note" : source_lowest(source);

    text_add(&wording->says,
             "the high-pass at %f Hz takes %f dB off the %s of %s %s source (%f Hz)", corner_hz,
             verdict_figure(verdict, "loss_at_lowest_note_db"), lowest, source_article(source),
             source->id, verdict_figure(verdict, "lowest_note_hz"));
    text_add(&wording->cure,
             "corner %f -> %f Hz, the top of what is usual; %f Hz would cost 1 dB at the %s",
             corner_hz, source->corner_high_hz, verdict_figure(verdict, "one_db_corner_hz"),
             lowest);
}

static void
say_above_usual(struct wording *wording, const struct source *source)
{
    double corner_hz = verdict_figure(wording->verdict, "corner_hz");

    text_add(
        &wording->says,
        "the high-pass at %f Hz lies above the %f to %f Hz usual for %s %s source; it takes %f dB "
        "off at %f Hz",
        corner_hz, source->corner_low_hz, source->corner_high_hz, source_article(source),
        source->id, verdict_figure(wording->verdict, "loss_at_usual_top_db"),
        source->corner_high_hz);
    text_add(
        &wording->cure,
        "corner %f -> %f Hz, or tell the lowest note in the show file (\"lowest_hz\") when this "
        "player needs no lows",
        corner_hz, source->corner_high_hz);
}

static void
say(struct wording *wording)
{
    const struct source *source = look_source(wording->look, wording->object.input);

    if (isnan(verdict_figure(wording->verdict, "lowest_note_hz")))
        say_above_usual(wording, source);
    else
        say_thin(wording, source);
}

/* The loss at `freq_hz` now and with the corner at the usual top, and what lies between. */
static void
work_losses(struct text *text, const struct verdict *verdict, double freq_hz)
{
    double corner_hz = verdict_figure(verdict, "corner_hz");
    double usual_hz = verdict_figure(verdict, "usual_corner_high_hz");
    int order = (int)verdict_figure(verdict, "filter_order");
    double now_db, usual_db;

    text_add(text,
             "What a high-pass of order %d takes off at %g Hz with its corner at %g Hz: ", order,
             freq_hz, corner_hz);
    now_db = high_pass_add_loss(text, order, corner_hz, freq_hz);
    text_add(text, " dB. With the corner at %g Hz, the top of what is usual: ", usual_hz);
    usual_db = high_pass_add_loss(text, order, usual_hz, freq_hz);
    text_add(text, " dB. So ");
    sum_difference(text, now_db, usual_db);
    text_add(text, " dB come back that are asked for as level today.");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double lowest_hz = verdict_figure(verdict, "lowest_note_hz");
    int order = (int)verdict_figure(verdict, "filter_order");

    if (isnan(lowest_hz)) {
        text_add(text, "No lowest note is known, so the top of the usual corners stands in. ");
        work_losses(text, verdict, verdict_figure(verdict, "usual_corner_high_hz"));
        return;
    }
    text_add(text, "The lowest that has to stay is %g Hz. ", lowest_hz);
    work_losses(text, verdict, lowest_hz);
    text_add(text,
             " The highest corner that costs 1 dB at that note: %g x (10^0.1 - 1)^(1 / %d) = %f "
             "Hz.",
             lowest_hz, 2 * order, verdict_figure(verdict, "one_db_corner_hz"));
}

const struct check check_high_pass_high = {
    .id = "high-pass-high",
    .number = CHECK_HIGH_PASS_HIGH,
    .subject = SUBJECT_FILTERS,
    .objects = OBJECT_INPUT,
    .reads = reads,
    .settings = {{"loss_db", 3, 0.5, 40, "loss at the lowest note from which it is a note", -0.5,
                  WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "the loss",
    .worse_step = 3,
    .fails_when =
        "the corner lies above the source's usual corners and thins its lowest note. Where "
        "the lowest note depends on the player (a voice), the loss is taken at the top of "
        "the usual corners instead; \"lowest_hz\" in the show file says better. " HIGH_PASS_PATHS,
    .why = "What a high-pass takes from the instrument, the player asks for as more level, and "
           "level costs margin.",
    .cure = "Lower the corner to the usual range.",
    .formula = "loss of a Butterworth high-pass of order n at f: 10 log10(1 + (corner / f)^(2 n))",
    .source = HIGH_PASS_CORNERS " Lowest notes: " CREDIT_RANGES "; " CREDIT_SAXOPHONES ".",
    .disagreement =
        "How much of the lowest note may go. Most set the corner by ear and stop before the tone "
        "gets thin (common practice, no source); how many dB that is, nobody agrees. 3 dB is this "
        "check's own. Guitars and "
        "voices are high-passed above their lowest notes on purpose (\"Mighty High Pass Filter\", "
        "prosoundweb.com, gives acoustic guitar about 150 Hz, well above its 82 Hz), so a loss "
        "alone is no fault here: the corner must lie above the usual ones too.",
    .run = run,
    .say = say,
    .work = work,
};

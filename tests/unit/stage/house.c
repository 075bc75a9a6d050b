/* SPDX-License-Identifier: MIT */
/* Needed and potential gain beside the handbooks' examples. */
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "check/check.h"
#include "stage.h"
#include "stage/house.h"

static void
potential_gains_are_the_published_ones(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_potentials); i++) {
        struct house house = {
            .talker_to_listener_m = reference_potentials[i].d0,
            .microphone_to_loudspeaker_m = reference_potentials[i].d1,
            .loudspeaker_to_listener_m = reference_potentials[i].d2,
            .talker_to_microphone_m = reference_potentials[i].ds,
            .critical_m = reference_potentials[i].critical,
            .open_microphones = reference_potentials[i].nom,
        };

        assert_near_in(reference_potentials[i].source,
                       house_potential_db(&house, reference_potentials[i].margin_db),
                       reference_potentials[i].db, reference_potentials[i].within);
    }
}

static void
needed_gains_are_the_published_ones(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_needs); i++) {
        struct house house = {.talker_to_listener_m = reference_needs[i].d0,
                              .equivalent_m = reference_needs[i].equivalent,
                              .critical_m = reference_needs[i].critical};

        assert_near_in(reference_needs[i].source, house_needed_db(&house), reference_needs[i].db,
                       reference_needs[i].within);
    }
}

/* The handbook writes it with Q, surface and absorption. */
static void
room_terms_are_the_published_ones(void **state)
{
    static const double pi = 3.14159265358979323846;

    (void)state;
    for (size_t i = 0; i < COUNT(reference_rooms); i++) {
        double q = reference_rooms[i].q, absorption = reference_rooms[i].s * reference_rooms[i].a;
        double critical = sqrt(q * absorption / (16 * pi));
        double db = house_loss_db(reference_rooms[i].x, critical) - 10 * log10(q / (4 * pi));

        assert_near(critical, 31.2, 0.05); /* as the handbook prints it */
        assert_near(db, reference_rooms[i].db, REFERENCE_ROOMS_WITHIN);
    }
}

/* Of the potential gain when one distance of it changes. */
static void
distances_change_it_as_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_changes); i++) {
        struct house house = {2, reference_changes[i].from, 2, 2, 1, HUGE_VAL, 1};
        double before_db = house_potential_db(&house, 0);

        house.talker_to_microphone_m = reference_changes[i].to;
        assert_near_in(reference_changes[i].source, house_potential_db(&house, 0) - before_db,
                       reference_changes[i].db, reference_changes[i].within);
    }
}

static void
open_microphones_cost_what_is_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_open); i++) {
        struct house house = {7, 1, 4, 6, 3, 9, reference_open[i].from};
        double before_db = house_potential_db(&house, HOUSE_MARGIN_DB);

        house.open_microphones = reference_open[i].to;
        assert_near_in(reference_open[i].source,
                       before_db - house_potential_db(&house, HOUSE_MARGIN_DB),
                       reference_open[i].db, reference_open[i].within);
    }
}

/* What a source of 0 dB at 1 m in the open makes there, direct and room. */
static double
level_db(double metres, double critical_m)
{
    return -house_loss_db(metres, critical_m);
}

/* The talker with the system off, and the loudspeaker once it is as loud at the microphone as the talker:
 * that is where it rings. */
static void
a_small_room_is_the_published_one(void **state)
{
    double source_db = reference_small_room.direct_at_microphone_db +
                       20 * log10(reference_small_room.talker_to_microphone_m);
    double at_microphone_db = source_db + level_db(reference_small_room.talker_to_microphone_m,
                                                   reference_small_room.talker_critical_m);
    double unaided_db = source_db + level_db(reference_small_room.talker_to_listener_m,
                                             reference_small_room.talker_critical_m);
    double delta_db = level_db(reference_small_room.loudspeaker_to_listener_m,
                               reference_small_room.loudspeaker_critical_m) -
                      level_db(reference_small_room.loudspeaker_to_microphone_m,
                               reference_small_room.loudspeaker_critical_m);
    double within = reference_small_room.within;

    (void)state;
    assert_near(at_microphone_db, reference_small_room.at_microphone_db, within);
    assert_near(unaided_db, reference_small_room.unaided_db, within);
    assert_near(delta_db, reference_small_room.delta_db, within);
    at_microphone_db = reference_small_room.at_microphone_db; /* it goes on with what it printed */
    assert_near(at_microphone_db + delta_db, reference_small_room.aided_db, within);
    assert_near(at_microphone_db + delta_db - unaided_db, reference_small_room.gain_db, within);
}

static void
what_stands_in_is_published(void **state)
{
    struct stage *stage = stage_new();

    (void)state;
    assert_near(HOUSE_MARGIN_DB, REFERENCE_MARGIN_DB, 0);
    assert_near(check_set_all.of[CHECK_LOOP_MARGIN]->settings[0].preset, REFERENCE_LEAST_MARGIN_DB,
                0);
    assert_near(stage->voice_db.number, REFERENCE_TALKER_DB, 0);
    assert_near(STAGE_VOICE_M, REFERENCE_TALKER_M, 0);
    assert_near(stage->equivalent_m.number, REFERENCE_EQUIVALENT_M, 0.02);
    free(stage);
}

/* Sound System Design Reference Manual, p. 6-10: 20 log Dct - 20 log Ds - 6. */
static void
far_from_everything_the_room_decides(void **state)
{
    struct house house = {1e5, 0.1, 1e5, 1e5, 1, 5, 1};

    (void)state;
    assert_near(house_potential_db(&house, 6), 20 * log10(5) - 20 * log10(0.1) - 6, 0.01);
}

/* Handbook for Sound Engineers, p. 1252: outdoors it is the same without the room. */
static void
a_room_without_walls_is_outdoors(void **state)
{
    struct house inside = {128, 2, 45, 90, 4, 1e9, 3}, outside = inside;

    (void)state;
    outside.critical_m = HUGE_VAL;
    assert_near(house_potential_db(&inside, 6), house_potential_db(&outside, 6), 1e-9);
    assert_near(house_needed_db(&inside), house_needed_db(&outside), 1e-9);
}

static double
spare_db(const struct house *house)
{
    return house_potential_db(house, HOUSE_MARGIN_DB) - house_needed_db(house);
}

static void
place_microphone(struct stage *stage, double y_m, double mouth_m)
{
    struct stage_microphone *microphone = stage_add_microphone(stage);

    microphone->placed = true;
    microphone->at = (struct place){0, y_m, 1.5};
    microphone->mouth_m.number = mouth_m;
}

/* One that stands far back has more potential gain and needs more: who is short is told. */
static void
what_is_short_is_told(void **state)
{
    struct stage *stage = stage_new();
    struct stage_loudspeaker *house = stage_add_loudspeaker(stage);
    struct house near, both;

    (void)state;
    stage->critical_m.number = HUGE_VAL;
    stage->listens = true;
    stage->listener = (struct place){0, -5, 1.5};
    house->house = house->placed = true;
    house->at = (struct place){5, 0, 1.5};
    place_microphone(stage, 0, 0.4);
    assert_true(house_of(stage, 1, &near));
    place_microphone(stage, 10, 1);
    assert_true(house_of(stage, 1, &both));
    assert_near(both.talker_to_microphone_m, 1, 0);
    assert_true(house_potential_db(&both, HOUSE_MARGIN_DB) >
                house_potential_db(&near, HOUSE_MARGIN_DB));
    assert_true(spare_db(&both) < spare_db(&near));
    free(stage);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(potential_gains_are_the_published_ones),
        cmocka_unit_test(needed_gains_are_the_published_ones),
        cmocka_unit_test(room_terms_are_the_published_ones),
        cmocka_unit_test(distances_change_it_as_published),
        cmocka_unit_test(open_microphones_cost_what_is_published),
        cmocka_unit_test(a_small_room_is_the_published_one),
        cmocka_unit_test(what_stands_in_is_published),
        cmocka_unit_test(far_from_everything_the_room_decides),
        cmocka_unit_test(a_room_without_walls_is_outdoors),
        cmocka_unit_test(what_is_short_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}

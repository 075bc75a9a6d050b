/* SPDX-License-Identifier: MIT */
/*
 * A sensible stage out of a seed. Singers stand in a row across the stage and face the audience,
 * each behind a microphone that faces them, with a wedge before it that faces their heads: so the
 * wedge stands behind the microphone's back. Loudspeakers beyond one for each singer are side-fills
 * at the edges. The figures are common practice, no source.
 */
#include <math.h>

#include "chance.h"
#include "scene.h"

static double
draw_pattern(struct chance *chance)
{
    double share = chance_between(chance, 0, 1);

    if (share < 0.5)
        return 0.5; /* cardioid */
    if (share < 0.8)
        return 0.37;                /* supercardioid */
    return share < 0.95 ? 0.25 : 1; /* hypercardioid, omnidirectional */
}

static struct space
draw_space(struct space space, struct chance *chance)
{
    double half_width = chance_between(chance, 4, 8);
    double absorption = chance_between(chance, 0.2, 0.5);

    space.kind = SPACE_BOX;
    space.from = (struct vector){-half_width, chance_between(chance, -8, -3), 0};
    space.to =
        (struct vector){half_width, chance_between(chance, 4.5, 7), chance_between(chance, 3.5, 7)};
    for (int i = 0; i < SCENE_WALLS; i++)
        space.absorption[i] = fmin(0.9, absorption * chance_between(chance, 0.6, 1.4));
    space.noise_spl = chance_between(chance, 35, 50);
    return space;
}

static struct microphone
draw_microphone(struct vector mouth, struct chance *chance)
{
    struct microphone microphone = scene_microphone();

    microphone.position =
        vector_add(mouth, (struct vector){chance_between(chance, -0.03, 0.03), -0.06,
                                          chance_between(chance, -0.06, 0)});
    microphone.faces = mouth;
    microphone.omni = draw_pattern(chance);
    microphone.floor = pow(10, chance_between(chance, -22, -14) / 20);
    microphone.mv_per_pa = chance_between(chance, 1.5, 3);
    microphone.mouth_m = chance_between(chance, 0.03, 0.1);
    return microphone;
}

static struct loudspeaker
draw_box(struct vector position, struct vector faces, struct chance *chance)
{
    struct loudspeaker box = scene_loudspeaker();

    box.position = position;
    box.faces = faces;
    box.sensitivity_db = chance_between(chance, 93, 99);
    box.amplifier_db = chance_between(chance, 29, 34);
    box.low_hz = chance_between(chance, 60, 110);
    box.high_hz = chance_between(chance, 14000, 18000);
    box.beam[1].degrees = chance_between(chance, 140, 220);
    box.beam[2].degrees = chance_between(chance, 70, 110);
    box.beam[3].degrees = chance_between(chance, 45, 75);
    box.ripple_count = 14;
    for (size_t i = 0; i < box.ripple_count; i++)
        box.ripples[i] =
            (struct ripple){100 * pow(100, chance_between(chance, 0, 1)),
                            chance_between(chance, -6, 6), chance_between(chance, 2, 8)};
    return box;
}

/* The wedge of the singer at the mouth, or a side-fill. */
static struct loudspeaker
draw_loudspeaker(const struct scene *scene, size_t place, struct vector mouth,
                 struct chance *chance)
{
    const struct space *space = &scene->space;
    double side = place % 2 == 0 ? -1 : 1;
    struct vector fill = {side * (space->to.x - chance_between(chance, 0.4, 0.9)),
                          chance_between(chance, 1, 3), chance_between(chance, 1.2, 1.8)};
    struct vector wedge =
        vector_add(mouth, (struct vector){chance_between(chance, -0.35, 0.35),
                                          chance_between(chance, -1.3, -0.8), 0.2 - mouth.z});

    if (place < scene->microphone_count)
        return draw_box(wedge, mouth, chance);
    return draw_box(fill, (struct vector){0, fill.y + 0.5, 1.6}, chance);
}

void
scene_draw(struct scene *scene, uint64_t seed, size_t microphones, size_t loudspeakers)
{
    struct chance chance = {.state = seed};
    struct vector mouth = {0, 0, 0};

    scene->latency_s = chance_between(&chance, 0.002, 0.004);
    scene->space = draw_space(scene->space, &chance);
    scene->space.seed = seed;
    scene->microphone_count = microphones;
    scene->loudspeaker_count = loudspeakers;
    for (size_t i = 0; i < microphones || i < loudspeakers; i++) {
        double share = microphones > 1 ? (double)i / (double)(microphones - 1) - 0.5 : 0;

        mouth =
            (struct vector){share * 1.3 * scene->space.to.x + chance_between(&chance, -0.3, 0.3),
                            chance_between(&chance, 1.5, 3), chance_between(&chance, 1.5, 1.75)};
        if (i < microphones) {
            scene->microphones[i] = draw_microphone(mouth, &chance);
            scene->microphones[i].socket = (unsigned)i + 1;
            if (i < SCENE_EARS)
                scene->ears[scene->ears_count++] =
                    (struct ears){vector_add(mouth, (struct vector){0, 0.1, 0.08}),
                                  vector_add(mouth, (struct vector){0, -2, 0})};
        }
        if (i < loudspeakers) {
            scene->loudspeakers[i] = draw_loudspeaker(scene, i, mouth, &chance);
            scene->loudspeakers[i].mix = (unsigned)i + 1;
        }
    }
}

// The lecture of the tests: invented, one scene of each kind, in two languages. lecture.yaml says the same to the program.
export const kLanguages = [{code: "en", name: "English"}, {code: "de", name: "Deutsch"}];

export const kTitle = {en: "Two lights, one colour", de: "Zwei Lichter, eine Farbe"};
export const kClosing = {en: "Switch the light off when you leave.", de: "Machen Sie beim Gehen das Licht aus."};

export const kScenes = [
    {
        name: "welcome", kind: "card",
        heading: {en: "A letter from the lamp maker", de: "Ein Brief vom Lampenmacher"},
        text: {
            en: ["Today the lamp maker of Harrow Bridge sends us two lamps.", "He says nobody can tell them apart. We shall see."],
            de: ["Heute schickt uns der Lampenmacher von Harrow Bridge zwei Lampen.", "Er sagt, niemand könne sie unterscheiden. Wir werden sehen."],
        },
    },
    {
        name: "two_lamps", kind: "field",
        heading: {en: "Two lamps", de: "Zwei Lampen"},
        text: {en: ["Left: the first lamp. Right: the second one."], de: ["Links die erste Lampe, rechts die zweite."]},
    },
    {
        name: "guess", kind: "question",
        heading: {en: "", de: ""}, text: {en: [], de: []},
        ask: {en: "The two halves look the same. What does that tell us about their light?", de: "Beide Hälften sehen gleich aus. Was sagt das über ihr Licht?"},
        right: 2,
        notes: ["Let them argue with a neighbour before you close the answers."],
        choices: [
            {en: "It holds the same wavelengths", de: "Es enthält dieselben Wellenlängen"},
            {en: "It excites L, M and S cones alike", de: "Es erregt L-, M- und S-Zapfen gleich"},
            {en: "It has the same power", de: "Es hat dieselbe Leistung"},
        ],
    },
    {
        name: "how_sure", kind: "slider",
        heading: {en: "", de: ""}, text: {en: [], de: []},
        ask: {en: "", de: ""},
        sliders: [{name: "value", start: 0.5, ask: {en: "How sure are you that your neighbour sees the same match?", de: "Wie sicher sind Sie, dass Ihre Nachbarin denselben Abgleich sieht?"}, low: {en: "not at all", de: "gar nicht"}, high: {en: "entirely", de: "völlig"}}],
    },
    {
        name: "find_the_match", kind: "steer",
        heading: {en: "", de: ""},
        text: {en: ["Make the right half look like the left one."], de: ["Stellen Sie die rechte Hälfte so ein, dass sie wie die linke aussieht."]},
        ask: {en: "", de: ""},
        sliders: [
            {name: "share", start: 0.2, ask: {en: "Mixture", de: "Mischung"}, low: {en: "long waves", de: "lange Wellen"}, high: {en: "middle waves", de: "mittlere Wellen"}},
            {name: "amount", start: 0.5, ask: {en: "Amount", de: "Menge"}, low: {en: "dim", de: "schwach"}, high: {en: "bright", de: "hell"}},
        ],
    },
    {
        name: "why", kind: "reveal",
        heading: {en: "Why they look alike", de: "Warum sie gleich aussehen"},
        text: {
            en: ["The second lamp was a mixture of two lights. Each cone caught as much of it as of the first lamp, and a cone cannot say of which wavelength."],
            de: ["Die zweite Lampe war eine Mischung zweier Lichter. Jeder Zapfen fing davon so viel wie von der ersten, und ein Zapfen kann nicht sagen, von welcher Wellenlänge."],
        },
    },
];

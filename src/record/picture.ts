/** A picture as data; who draws it picks colours and sizes. `alt` says in words what the picture shows. */
export type Picture = Curve | Pattern;

export type Curve = {
  readonly id: string;
  readonly title: string;
  readonly alt: string;
  readonly kind: 'curve';
  readonly x: { readonly label: string; readonly unit: string; readonly values: readonly number[] };
  /** One value for each of `x`; null where there is none. */
  readonly series: readonly {
    readonly label: string;
    readonly unit: string;
    readonly values: readonly (number | null)[];
    /** Worked out or still to come, not measured. */
    readonly dashed?: boolean;
  }[];
  /** Places on the x axis. */
  readonly marks: readonly { readonly at: number; readonly label: string }[];
};

export type Pattern = {
  readonly id: string;
  readonly title: string;
  readonly alt: string;
  readonly kind: 'pattern';
  /** `x` and `y` from 0 to 1, y down. `order` counts from 1. */
  readonly bolts: readonly {
    readonly n: number;
    readonly x: number;
    readonly y: number;
    readonly order: number;
    readonly value: number | null;
  }[];
  readonly unit: string;
};

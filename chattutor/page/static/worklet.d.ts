// What an audio worklet finds around it; the DOM's own types do not tell (Web Audio API, W3C, section 1.32).

declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, kind: new () => AudioWorkletProcessor): void;
declare const sampleRate: number;

// What a camera reads in a picture of the page: jsQR shares no code with what
// made the QR code.
import jsQR from "jsqr";
import type { Browser, Locator } from "playwright-core";

const SIDE = 240;

export async function cameraReads(
  browser: Browser, of: Locator,
): Promise<string | undefined> {
  const png = await of.screenshot();
  const blank = await browser.newPage(); // the page itself loads no pictures
  const pixels = await blank.evaluate(async ([base64, side]) => {
    const image = new Image();
    image.src = `data:image/png;base64,${base64}`;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = canvas.height = side;
    const pen = canvas.getContext("2d")!;
    pen.drawImage(image, 0, 0, side, side);
    return [...pen.getImageData(0, 0, side, side).data];
  }, [png.toString("base64"), SIDE] as const);
  await blank.close();
  const decode = (jsQR as unknown as { default?: typeof jsQR }).default ?? jsQR;
  return decode(Uint8ClampedArray.from(pixels), SIDE, SIDE)?.data;
}
